//! How a page looks: paper and ink, by day, by night and on paper.
//!
//! Text keeps a contrast of 4.5 to 1 on its ground and marks one of 3 to 1 (WCAG 2.2, success
//! criteria 1.4.3 and 1.4.11), which a test computes for each palette. Shape says the same as colour.

/// The colours of a page.
#[derive(Debug, Clone, Copy)]
pub struct Palette {
    /// The paper.
    pub paper: &'static str,
    /// Text.
    pub ink: &'static str,
    /// Text that explains.
    pub soft: &'static str,
    /// Text that leads elsewhere.
    pub link: &'static str,
    /// Phrases that start on beat one.
    pub one: &'static str,
    /// Phrases that start on another beat.
    pub beat: &'static str,
    /// Phrases that start off the beat.
    pub off: &'static str,
    /// What recorded solos do.
    pub norm: &'static str,
    /// Lines that only separate.
    pub rule: &'static str,
}

/// By day.
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

/// By night.
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

/// On paper.
pub const PRINT: Palette = Palette { paper: "#ffffff", ..LIGHT };

impl Palette {
    /// As custom properties of the root.
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

/// The style sheet. It names nothing that has to be fetched.
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
