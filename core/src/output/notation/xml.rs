//! XML elements, written by `quick-xml`.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::io;

/// A document being written, to memory: a call fails only when out of memory.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
}

impl Xml {
    /// A document of this type: the part after `<!DOCTYPE`.
    pub(super) fn new(doctype: &str) -> io::Result<Self> {
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 1);
        writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), Some("no"))))?;
        writer.write_event(Event::DocType(BytesText::from_escaped(doctype)))?;
        Ok(Self { writer })
    }

    /// An element with the content that `inside` writes.
    pub(super) fn within(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        inside: impl FnOnce(&mut Self) -> io::Result<()>,
    ) -> io::Result<()> {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        self.writer.write_event(Event::Start(start))?;
        inside(self)?;
        self.writer.write_event(Event::End(BytesEnd::new(name)))
    }

    /// An element without content.
    pub(super) fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) -> io::Result<()> {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        self.writer.write_event(Event::Empty(start))
    }

    /// An element with text.
    pub(super) fn text(&mut self, name: &str, text: &str) -> io::Result<()> {
        self.text_with(name, &[], text)
    }

    /// An element with text and attributes. Characters that XML cannot hold become spaces.
    pub(super) fn text_with(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        text: &str,
    ) -> io::Result<()> {
        let legal = |c: char| !c.is_control() && !matches!(c, '\u{FFFE}' | '\u{FFFF}');
        let text: String = text.chars().map(|c| if legal(c) { c } else { ' ' }).collect();
        let element = self.writer.create_element(name).with_attributes(attributes.iter().copied());
        element.write_text_content(BytesText::new(&text))?;
        Ok(())
    }

    /// The bytes, with a line break at the end.
    pub(super) fn finish(self) -> Vec<u8> {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        bytes
    }
}
