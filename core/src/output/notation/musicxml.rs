//! MusicXML 4.0 (W3C Music Notation Community Group, 2021), as one part of one voice.

use super::accidentals::InForce;
use super::bars::{Sign, TiedNote, WrittenBar};
use super::beams::{Beam, beams};
use super::harmony::write_chord;
use super::marks::{BarMarks, marks, rests_from};
use super::note_xml::{accidental, beam_name, rest, tuplet_edges, type_of, value, write_pitch};
use super::value::{QUARTER, Value};
use super::xml::Xml;
use super::{Clef, WrittenTake};
use crate::phrase::AnalysisContext;
use crate::theory::changes::Changes;
use crate::theory::form::Form;
use std::io;

/// The document type.
const DOCTYPE: &str = "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
                       \"http://www.musicxml.org/dtds/partwise.dtd\"";

/// The score to write.
#[derive(Debug, Clone, Copy)]
pub struct MusicXml<'a> {
    /// The title.
    pub title: &'a str,
    /// The notated take.
    pub take: &'a WrittenTake,
    /// Its analysis.
    pub context: AnalysisContext<'a>,
    /// Its form, for the section labels.
    pub form: Option<&'a Form>,
    /// Its chords.
    pub changes: Option<&'a Changes>,
}

/// The bytes of a MusicXML file.
///
/// # Errors
/// Only when out of memory.
pub fn musicxml(document: &MusicXml<'_>) -> io::Result<Vec<u8>> {
    let mut xml = Xml::new(DOCTYPE)?;
    xml.within("score-partwise", &[("version", "4.0")], |xml| {
        xml.within("work", &[], |xml| xml.text("work-title", document.title))?;
        xml.within("identification", &[], |xml| {
            xml.within("encoding", &[], |xml| xml.text("software", "Overbar"))
        })?;
        xml.within("part-list", &[], |xml| {
            xml.within("score-part", &[("id", "P1")], |xml| xml.text("part-name", "Solo"))
        })?;
        xml.within("part", &[("id", "P1")], |xml| document.bars(xml))
    })?;
    Ok(xml.finish())
}

/// Writes a direction above the staff.
fn over(xml: &mut Xml, inside: impl FnOnce(&mut Xml) -> io::Result<()>) -> io::Result<()> {
    xml.within("direction", &[("placement", "above")], |xml| {
        xml.within("direction-type", &[], inside)
    })
}

fn write_tempo(xml: &mut Xml, tempo: f64) -> io::Result<()> {
    xml.within("direction", &[("placement", "above")], |xml| {
        xml.within("direction-type", &[], |xml| {
            xml.within("metronome", &[], |xml| {
                xml.text("beat-unit", "quarter")?;
                xml.text("per-minute", &format!("{tempo:.0}"))
            })
        })?;
        xml.empty("sound", &[("tempo", &format!("{tempo:.2}"))])
    })
}

impl MusicXml<'_> {
    fn bars(&self, xml: &mut Xml) -> io::Result<()> {
        if self.take.bars.is_empty() {
            // A part has at least one measure.
            return xml.within("measure", &[("number", "1")], |xml| {
                xml.within("note", &[], |xml| {
                    xml.empty("rest", &[("measure", "yes")])?;
                    xml.text("duration", "1")
                })
            });
        }
        let bars = &self.take.bars;
        let marks = marks(self.take, self.context, self.form, self.changes);
        let mut before: Option<&WrittenBar> = None;
        let mut rests_to = 0;
        for (index, (bar, marks_here)) in bars.iter().zip(&marks).enumerate() {
            let rests = if index < rests_to { 0 } else { rests_from(bars, &marks, index) };
            rests_to = rests_to.max(index + rests);
            let number = bar.number.to_string();
            // A bar that a change of metre cuts short.
            let cut = bar.length != super::value::ticks(bar.metre.bar());
            let implicit: &[(&str, &str)] = if cut { &[("implicit", "yes")] } else { &[] };
            let attributes: Vec<_> =
                [("number", number.as_str())].into_iter().chain(implicit.iter().copied()).collect();
            xml.within("measure", &attributes, |xml| {
                self.attributes(xml, bar, before, rests)?;
                if let Some(tempo) = marks_here.tempo {
                    write_tempo(xml, tempo)?;
                }
                if before.is_none() {
                    self.swing(xml)?;
                }
                if marks_here.jumps {
                    over(xml, |xml| xml.text("words", &format!("Rest up to bar {number}")))?;
                }
                if let Some(letter) = &marks_here.section {
                    over(xml, |xml| xml.text("rehearsal", letter))?;
                }
                self.signs(xml, bar, marks_here)
            })?;
            before = Some(bar);
        }
        Ok(())
    }

    fn attributes(
        &self,
        xml: &mut Xml,
        bar: &WrittenBar,
        before: Option<&WrittenBar>,
        rests: usize,
    ) -> io::Result<()> {
        let same_metre = before.is_some_and(|before| before.metre == bar.metre);
        if same_metre && rests < 2 {
            return Ok(());
        }
        xml.within("attributes", &[], |xml| {
            if !same_metre {
                self.signature(xml, bar, before)?;
            }
            if rests < 2 {
                return Ok(());
            }
            let count = rests.to_string();
            xml.within("measure-style", &[], |xml| xml.text("multiple-rest", &count))
        })
    }

    fn signature(
        &self,
        xml: &mut Xml,
        bar: &WrittenBar,
        before: Option<&WrittenBar>,
    ) -> io::Result<()> {
        if before.is_none() {
            xml.text("divisions", &QUARTER.to_string())?;
            let fifths = self.take.signature.fifths().to_string();
            xml.within("key", &[], |xml| xml.text("fifths", &fifths))?;
        }
        xml.within("time", &[], |xml| {
            xml.text("beats", &bar.metre.numerator().to_string())?;
            xml.text("beat-type", &bar.metre.denominator().to_string())
        })?;
        if before.is_some() {
            return Ok(());
        }
        let (sign, line) = match self.take.clef {
            Clef::Treble => ("G", "2"),
            Clef::Bass => ("F", "4"),
        };
        xml.within("clef", &[], |xml| {
            xml.text("sign", sign)?;
            xml.text("line", line)
        })?;
        self.transposition(xml)
    }

    /// The interval from written to sounding pitch, with whole octaves separate.
    fn transposition(&self, xml: &mut Xml) -> io::Result<()> {
        let (steps, semitones) = (self.take.transposition.steps, self.take.transposition.semitones);
        if (steps, semitones) == (0, 0) {
            return Ok(());
        }
        let octaves = semitones / 12;
        xml.within("transpose", &[], |xml| {
            xml.text("diatonic", &(octaves * 7 - steps).to_string())?;
            xml.text("chromatic", &(octaves * 12 - semitones).to_string())?;
            if octaves == 0 { Ok(()) } else { xml.text("octave-change", &(-octaves).to_string()) }
        })
    }

    fn swing(&self, xml: &mut Xml) -> io::Result<()> {
        let Some(ratio) = self.take.swing else { return Ok(()) };
        xml.within("direction", &[("placement", "above")], |xml| {
            xml.within("direction-type", &[], |xml| xml.text("words", "Swing"))?;
            xml.within("sound", &[], |xml| {
                xml.within("swing", &[], |xml| {
                    xml.text("first", &format!("{:.0}", ratio * 100.0))?;
                    xml.text("second", "100")?;
                    xml.text("swing-type", "eighth")
                })
            })
        })
    }

    fn signs(&self, xml: &mut Xml, bar: &WrittenBar, marks: &BarMarks) -> io::Result<()> {
        let mut in_force = InForce::new(self.take.signature);
        for (sign, beams) in bar.signs.iter().zip(beams(bar)) {
            let here = |at: &u32| (sign.at..sign.at + sign.length).contains(at);
            for (at, chord) in marks.chords.iter().filter(|(at, _)| here(at)) {
                write_chord(xml, *chord, self.take.transposition, at - sign.at)?;
            }
            match sign.note {
                None => rest(xml, sign, sign.length == bar.length)?,
                Some(note) => self.note(xml, sign, note, &beams, &mut in_force)?,
            }
        }
        Ok(())
    }

    fn note(
        &self,
        xml: &mut Xml,
        sign: &Sign,
        note: TiedNote,
        beams: &[Beam],
        in_force: &mut InForce,
    ) -> io::Result<()> {
        let Some(written) = self.take.onsets.get(note.onset) else { return Ok(()) };
        let Some(pitch) = written.pitch else { return Ok(()) };
        if !note.tied_from {
            if let Some(words) = &written.start_in_words {
                xml.within("direction", &[("placement", "below")], |xml| {
                    xml.within("direction-type", &[], |xml| xml.text("words", words))
                })?;
            }
            for grace in &written.graces {
                xml.within("note", &[], |xml| {
                    xml.empty("grace", &[("slash", "yes")])?;
                    write_pitch(xml, *grace)?;
                    xml.text("voice", "1")?;
                    xml.text("type", type_of(Value::Eighth))?;
                    accidental(xml, in_force.next(*grace))
                })?;
            }
        }
        // A tied note keeps its accidental over the bar line without showing it.
        let shown = if note.tied_from { None } else { in_force.next(pitch) };
        xml.within("note", &[], |xml| {
            write_pitch(xml, pitch)?;
            xml.text("duration", &sign.length.to_string())?;
            if note.tied_from {
                xml.empty("tie", &[("type", "stop")])?;
            }
            if note.tied_on {
                xml.empty("tie", &[("type", "start")])?;
            }
            value(xml, sign, shown)?;
            for (level, beam) in (1..).zip(beams) {
                let level: i32 = level;
                xml.text_with("beam", &[("number", &level.to_string())], beam_name(*beam))?;
            }
            self.notations(xml, sign, note)
        })
    }

    fn notations(&self, xml: &mut Xml, sign: &Sign, note: TiedNote) -> io::Result<()> {
        let Some(written) = self.take.onsets.get(note.onset) else { return Ok(()) };
        let alone = written.starts.is_some() && written.starts == written.ends;
        let opens = written.starts.is_some() && !alone && !note.tied_from;
        let closes = written.ends.is_some() && !alone && !note.tied_on;
        let edge = sign.tuplet.filter(|tuplet| tuplet.opens || tuplet.closes);
        let dot = note.staccato && !note.tied_on && !note.tied_from;
        if !(note.tied_from || note.tied_on || opens || closes || edge.is_some() || dot) {
            return Ok(());
        }
        xml.within("notations", &[], |xml| {
            if note.tied_from {
                xml.empty("tied", &[("type", "stop")])?;
            }
            if note.tied_on {
                xml.empty("tied", &[("type", "start")])?;
            }
            if closes {
                xml.empty("slur", &[("type", "stop"), ("number", "1")])?;
            }
            if opens {
                xml.empty("slur", &[("type", "start"), ("number", "1"), ("placement", "above")])?;
            }
            tuplet_edges(xml, sign)?;
            if dot {
                xml.within("articulations", &[], |xml| xml.empty("staccato", &[]))?;
            }
            Ok(())
        })
    }
}
