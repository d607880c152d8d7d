//! The parts of a MusicXML `note`, in the schema's order.

use super::bars::Sign;
use super::beams::Beam;
use super::value::Value;
use super::xml::Xml;
use crate::theory::name::SpelledPitch;
use std::io;

pub(super) fn rest(xml: &mut Xml, sign: &Sign, whole_bar: bool) -> io::Result<()> {
    xml.within("note", &[], |xml| {
        let measure: &[(&str, &str)] = if whole_bar { &[("measure", "yes")] } else { &[] };
        xml.empty("rest", measure)?;
        xml.text("duration", &sign.length.to_string())?;
        if whole_bar {
            return xml.text("voice", "1");
        }
        value(xml, sign, None)?;
        if sign.tuplet.is_none_or(|tuplet| !tuplet.opens && !tuplet.closes) {
            return Ok(());
        }
        xml.within("notations", &[], |xml| tuplet_edges(xml, sign))
    })
}

pub(super) fn tuplet_edges(xml: &mut Xml, sign: &Sign) -> io::Result<()> {
    let Some(tuplet) = sign.tuplet else { return Ok(()) };
    if tuplet.opens {
        xml.empty("tuplet", &[("type", "start"), ("number", "1")])?;
    }
    if tuplet.closes {
        xml.empty("tuplet", &[("type", "stop"), ("number", "1")])?;
    }
    Ok(())
}

/// Voice, value, dot, accidental and tuplet of a note or rest, in the schema's order.
pub(super) fn value(xml: &mut Xml, sign: &Sign, shown: Option<i8>) -> io::Result<()> {
    xml.text("voice", "1")?;
    xml.text("type", type_of(sign.value))?;
    if sign.dotted {
        xml.empty("dot", &[])?;
    }
    accidental(xml, shown)?;
    let Some(tuplet) = sign.tuplet else { return Ok(()) };
    xml.within("time-modification", &[], |xml| {
        xml.text("actual-notes", &tuplet.ratio.actual.to_string())?;
        xml.text("normal-notes", &tuplet.ratio.normal.to_string())
    })
}

pub(super) fn write_pitch(xml: &mut Xml, pitch: SpelledPitch) -> io::Result<()> {
    xml.within("pitch", &[], |xml| {
        xml.text("step", pitch.step.letter().encode_utf8(&mut [0; 4]))?;
        if pitch.alter != 0 {
            xml.text("alter", &pitch.alter.to_string())?;
        }
        xml.text("octave", &pitch.octave.to_string())
    })
}

pub(super) fn accidental(xml: &mut Xml, shown: Option<i8>) -> io::Result<()> {
    let name = match shown {
        None => return Ok(()),
        Some(-2) => "flat-flat",
        Some(-1) => "flat",
        Some(1) => "sharp",
        Some(2) => "double-sharp",
        Some(_) => "natural",
    };
    xml.text("accidental", name)
}

pub(super) fn type_of(value: Value) -> &'static str {
    match value {
        Value::Breve => "breve",
        Value::Whole => "whole",
        Value::Half => "half",
        Value::Quarter => "quarter",
        Value::Eighth => "eighth",
        Value::Sixteenth => "16th",
        Value::ThirtySecond => "32nd",
        Value::SixtyFourth => "64th",
        Value::HundredTwentyEighth => "128th",
        Value::TwoHundredFiftySixth => "256th",
    }
}

pub(super) fn beam_name(beam: Beam) -> &'static str {
    match beam {
        Beam::Begin => "begin",
        Beam::Continue => "continue",
        Beam::End => "end",
        Beam::ForwardHook => "forward hook",
        Beam::BackwardHook => "backward hook",
    }
}
