//! The style of a page: a light, a dark and a print palette.
//!
//! Text has a contrast of 4.5 to 1 and marks one of 3 to 1 to the paper (WCAG 2.2, success criteria 1.4.3 and
//! 1.4.11), which a test checks for each palette. Whatever colour says, shape says too.

/// The colours of a page.
#[derive(Debug, Clone, Copy)]
pub struct Palette {
    /// The paper.
    pub paper: &'static str,
    /// Text.
    pub ink: &'static str,
    /// Explanatory text.
    pub soft: &'static str,
    /// Links.
    pub link: &'static str,
    /// Phrases that start on beat one.
    pub one: &'static str,
    /// Phrases that start on another beat.
    pub beat: &'static str,
    /// Phrases that start off the beat.
    pub off: &'static str,
    /// Norms of recorded solos.
    pub norm: &'static str,
    /// Separators.
    pub rule: &'static str,
}

/// The light palette.
pub const LIGHT: Palette = Palette {
    paper: "#fbf8f1",
    ink: "#1d2430",
    soft: "#566072",
    link: "#27508f",
    one: "#b3361f",
    beat: "#3c63a8",
    off: "#a8700a",
    norm: "#3b7d6b",
    rule: "#d9d2c3",
};

/// The dark palette.
pub const DARK: Palette = Palette {
    paper: "#14181f",
    ink: "#ece8df",
    soft: "#a7afbc",
    link: "#9fc0ff",
    one: "#ff8a72",
    beat: "#8fb2f5",
    off: "#e3ac4b",
    norm: "#6fc3a9",
    rule: "#39414d",
};

/// The palette for print.
pub const PRINT: Palette = Palette { paper: "#ffffff", ..LIGHT };

impl Palette {
    /// Its custom properties of the root element.
    fn properties(&self) -> String {
        let named = [
            ("paper", self.paper),
            ("ink", self.ink),
            ("soft", self.soft),
            ("link", self.link),
            ("one", self.one),
            ("beat", self.beat),
            ("off", self.off),
            ("norm", self.norm),
            ("rule", self.rule),
        ];
        let each = named.map(|(name, colour)| format!("--{name}:{colour}"));
        format!(":root{{{}}}", each.join(";"))
    }
}

/// The style sheet. It refers to nothing external.
#[must_use]
pub fn sheet() -> String {
    format!(
        "{}\n@media (prefers-color-scheme:dark){{{}}}\n@media print{{{}}}\n{}",
        LIGHT.properties(),
        DARK.properties(),
        PRINT.properties(),
        include_str!("page.css"),
    )
}
