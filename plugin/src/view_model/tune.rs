//! A tune with its form, as typed and parsed. Project and library store the form under the tune's name.

use overbar_core::output::words::capital;
use overbar_core::take::TakeId;
use overbar_core::theory::chart::Chart;
use overbar_core::theory::form::{Form, FormError, Section};
use overbar_library::take_store::{Playing, TakeStore};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The form as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct TuneText {
    /// The tune's name; may be empty.
    pub name: String,
    /// The player; may be empty.
    pub player: String,
    /// Bars of a chorus; empty for no form.
    pub bars: String,
    /// The song's bar where the first chorus starts; empty for the first.
    pub first_bar: String,
    /// Sections as name and bars, such as `A8 A8 B8 A8`; empty for none.
    pub sections: String,
    /// The chords, bar for bar, such as `| Cm7 | F7 |`; empty for none.
    pub chords: String,
}

/// A field of the tune.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TuneField {
    /// [`TuneText::name`].
    Name,
    /// [`TuneText::player`].
    Player,
    /// [`TuneText::bars`].
    Bars,
    /// [`TuneText::first_bar`].
    FirstBar,
    /// [`TuneText::sections`].
    Sections,
    /// [`TuneText::chords`].
    Chords,
}

impl TuneText {
    /// The text of a field.
    pub fn field(&mut self, field: TuneField) -> &mut String {
        match field {
            TuneField::Name => &mut self.name,
            TuneField::Player => &mut self.player,
            TuneField::Bars => &mut self.bars,
            TuneField::FirstBar => &mut self.first_bar,
            TuneField::Sections => &mut self.sections,
            TuneField::Chords => &mut self.chords,
        }
    }

    /// The text for a stored tune, played by `player`.
    pub fn of(tune: &overbar_library::Tune, player: &str) -> Self {
        let (name, player) = (tune.name.clone(), player.to_owned());
        let Some(form) = &tune.form else { return Self { name, player, ..Self::default() } };
        let first_bar = match form.first_bar {
            1 => String::new(),
            bar => bar.to_string(),
        };
        let section =
            |section: &overbar_library::TuneSection| format!("{}{}", section.name, section.bars);
        let sections: Vec<String> = form.sections.iter().map(section).collect();
        let (bars, sections) = (form.bars.to_string(), sections.join(" "));
        Self { name, player, bars, first_bar, sections, chords: form.chords.clone() }
    }

    /// Whether it has this name, ignoring case and surrounding space.
    pub fn is_called(&self, name: &str) -> bool {
        self.name.trim().to_lowercase() == name.trim().to_lowercase()
    }
}

/// What is wrong with a field of the tune.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TuneFault {
    /// The field.
    pub field: TuneField,
    /// What is wrong with it, as a sentence.
    pub words: String,
}

/// A tune, as text and parsed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tune {
    text: TuneText,
    form: Option<Form>,
    fault: Option<TuneFault>,
}

impl Tune {
    /// From a tune of the library.
    pub fn of(tune: &overbar_library::Tune) -> Self {
        let mut read = Self::default();
        read.set(TuneText::of(tune, ""));
        read
    }

    /// The tune of a take: this one if the name is the same, or else the stored one, which is empty if
    /// unknown.
    pub fn of_take(&self, store: &TakeStore, take: TakeId) -> Cow<'_, Self> {
        let name = store.tune_of(take);
        if self.text.is_called(name) {
            return Cow::Borrowed(self);
        }
        Cow::Owned(store.tune(name).as_ref().map(Self::of).unwrap_or_default())
    }

    /// Sets one field. Another name brings the stored form of that tune, if there is one; an unknown name
    /// keeps the current form.
    pub fn type_into(&mut self, field: TuneField, typed: String, store: &TakeStore) {
        let mut text = self.text.clone();
        *text.field(field) = typed;
        let known = store.tune(&text.name).filter(|_| !self.text.is_called(&text.name));
        let text = match known {
            Some(tune) => TuneText::of(&tune, &text.player),
            None => text,
        };
        self.set(text);
    }

    /// Sets the text. If it cannot be parsed, [`Tune::fault`] says why and the form stays.
    pub fn set(&mut self, text: TuneText) {
        match read(&text) {
            Ok(form) => {
                self.form = form;
                self.fault = None;
            }
            Err(fault) => self.fault = Some(fault),
        }
        self.text = text;
    }

    /// Tune and player, to label takes with.
    pub fn playing(&self) -> Playing {
        let form = self.form.as_ref().map(|form| overbar_library::TuneForm {
            bars: u16::try_from(form.chorus_bars()).unwrap_or(u16::MAX),
            first_bar: form.first_bar(),
            sections: form
                .sections()
                .iter()
                .map(|section| overbar_library::TuneSection {
                    name: section.name.clone(),
                    bars: u16::try_from(section.bars).unwrap_or(u16::MAX),
                })
                .collect(),
            chords: self.text.chords.clone(),
        });
        Playing { tune: self.text.name.clone(), form, player: self.text.player.clone() }
    }

    /// The text as typed.
    pub fn text(&self) -> &TuneText {
        &self.text
    }

    /// The parsed form, if one is set.
    pub fn form(&self) -> Option<&Form> {
        self.form.as_ref()
    }

    /// What is wrong with the text.
    pub fn fault(&self) -> Option<&TuneFault> {
        self.fault.as_ref()
    }

    /// The chords, for bars of `beats` beats.
    pub fn chart(&self, beats: u8) -> Option<Chart> {
        let text = self.text.chords.trim();
        let usable = !text.is_empty() && self.fault.is_none();
        usable.then(|| Chart::parse(text, beats).ok()).flatten()
    }
}

/// Beats per bar assumed when chords are parsed before the metre is known.
const USUAL_BEATS: u8 = 4;

fn read(text: &TuneText) -> Result<Option<Form>, TuneFault> {
    let in_field = |field, words: String| TuneFault { field, words };
    let bars = text.bars.trim();
    if bars.is_empty() {
        let rest = [&text.sections, &text.chords];
        return match rest.iter().all(|text| text.trim().is_empty()) {
            true => Ok(None),
            false => Err(in_field(TuneField::Bars, "Enter the chorus length first.".to_owned())),
        };
    }
    let number = |field, text: &str, what: &str| {
        let words = |_| in_field(field, format!("{what} must be a whole number."));
        text.parse::<i64>().map_err(words)
    };
    let count = number(TuneField::Bars, bars, "Chorus length")?;
    let first = match text.first_bar.trim() {
        "" => 1,
        first => number(TuneField::FirstBar, first, "First bar")?,
    };
    let fault = |field, fault: &dyn core::fmt::Display| {
        in_field(field, format!("{}.", capital(&fault.to_string())))
    };
    let in_sections = |why: FormError| fault(TuneField::Sections, &why);
    let sections = Section::list(&text.sections).map_err(in_sections)?;
    let count = u32::try_from(count).unwrap_or(0);
    let in_numbers = |why| match why {
        FormError::FirstBar { .. } => fault(TuneField::FirstBar, &why),
        why => fault(TuneField::Bars, &why),
    };
    let form = Form::new(count, first).map_err(in_numbers)?;
    let form = form.with_sections(sections).map_err(in_sections)?;
    let chords = Form::bars_of_chords(&text.chords);
    let form = form.with_chords(chords).map_err(|why| fault(TuneField::Chords, &why))?;
    if !text.chords.trim().is_empty() {
        let chart = Chart::parse(&text.chords, USUAL_BEATS);
        let chart = chart.map_err(|why| in_field(TuneField::Chords, format!("Chords, {why}.")))?;
        let (written, bars) = (chart.bars(), form.chorus_bars());
        if u32::try_from(written) != Ok(bars) {
            let words = format!("Chords cover {written} bars; the chorus has {bars}.");
            return Err(in_field(TuneField::Chords, words));
        }
    }
    Ok(Some(form))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(bars: &str, first_bar: &str, sections: &str, chords: &str) -> TuneText {
        let [bars, first_bar, sections, chords] =
            [bars, first_bar, sections, chords].map(str::to_owned);
        TuneText { bars, first_bar, sections, chords, ..TuneText::default() }
    }

    #[test]
    fn text_is_parsed_into_a_form_or_the_fault_is_reported() {
        let mut tune = Tune::default();
        tune.set(text(" 4 ", "5", "A2 B2", "| Cm7 | F7 | Bb | % |"));
        let form = tune.form().unwrap().clone();
        assert_eq!((form.chorus_bars(), form.first_bar(), form.sections().len()), (4, 5, 2));
        assert_eq!((form.chords_at(2), tune.fault()), ("F7", None));
        assert_eq!(tune.chart(4).unwrap().bars(), 4);
        use TuneField as F;
        for (wrong, field, word) in [
            (text("twelve", "", "", ""), F::Bars, "whole number"),
            (text("12", "x", "", ""), F::FirstBar, "First bar"),
            (text("0", "", "", ""), F::Bars, "1 to"),
            (text("16", "", "A8", ""), F::Sections, "add up to 8 bars"),
            (text("2", "", "", "| C | Q7 |"), F::Chords, "Q7"),
            (text("3", "", "", "| C | F7 |"), F::Chords, "Chords cover 2 bars; the chorus has 3"),
            (text("", "", "A8", ""), F::Bars, "chorus length"),
        ] {
            tune.set(wrong.clone());
            let fault = tune.fault().unwrap();
            assert!(fault.field == field && fault.words.contains(word), "{fault:?}");
            assert_eq!((tune.text(), tune.form()), (&wrong, Some(&form)), "the form stays");
        }
        tune.set(TuneText::default());
        assert_eq!((tune.form(), tune.fault()), (None, None));
    }
}
