//! Everything that can be pressed has a tooltip, shown under the pointer or with the focus. Unless a view
//! supplies its own, it comes from this list, or else it is the label.

use crate::panel::widgets::Pen;
use egui::{Id, Response};

/// Labels with their tooltips.
const WORDS: [(&str, &str); 45] = [
    ("Overview", "The take at a glance: its figures over the range of recorded solos."),
    ("Phrases", "Every phrase of the take, aligned to its bar line. Press one to see its notes."),
    ("Choruses", "The figures of each solo, chorus and section."),
    ("Chords", "Which chord tones fall on strong beats, phrase by phrase."),
    ("Advice", "What to work on next, with the bars to listen to."),
    ("Edit", "Name, comment, tune; split and merge the take."),
    ("Takes: This project", "The takes that this project holds."),
    ("Takes: Library", "All takes that were ever kept on this computer."),
    ("Takes: Recovered", "Takes of projects that were never saved."),
    ("Starred takes only", "Shows the takes with a star only."),
    ("Back", "Goes back to where you were."),
    ("All drills", "Goes back to the list of drills."),
    ("Result", "What the drill came to when it was last played."),
    ("Start a phrase here", "A phrase starts at this note from now on, whatever is detected."),
    ("Start no phrase here", "No phrase starts at this note from now on, whatever is detected."),
    ("Merge with previous phrase", "This phrase and the one before are one."),
    ("Reset to detected", "Takes back what was set by hand at this note."),
    ("Split take here", "Makes two takes of this one. It can be undone."),
    ("Load the list again", "Looks for takes that have come since."),
    ("Dark", "For a dim stage."),
    ("Light", "For a bright room."),
    ("High contrast", "Black and white, for eyes that need it."),
    ("Phrase before", "Shows the phrase before this one."),
    ("Phrase after", "Shows the next phrase."),
    ("Close the phrase", "Goes back to the list of phrases."),
    ("Exit stage view", "Goes back to the ordinary views."),
    ("Stop the drill", "Ends the drill. What was counted is kept."),
    (
        "Export takes, the comp, a comparison or class reports",
        "Saves them as MIDI, MusicXML, a report, or tables.",
    ),
    ("Import MIDI files as takes", "Reads MIDI files; each becomes a take of this project."),
    ("Compare with another take", "Two takes side by side, figure by figure."),
    ("Options of the comp", "How edits are found, and what the comp is made of."),
    ("Save the comp as a take", "The comp becomes a take of this project."),
    ("Beat grid", "Bar lines and beats under the notes: put them where the music has them."),
    (
        "Beat one is here",
        "The beat nearest to the chosen place is beat one, from where the count was last in doubt. Key: O.",
    ),
    (
        "Beat one comes one beat earlier",
        "The bars around the chosen place. Key: Shift and the left arrow.",
    ),
    (
        "Beat one comes one beat later",
        "The bars around the chosen place. Key: Shift and the right arrow.",
    ),
    (
        "A beat is here",
        "Moves the nearest beat to the chosen place, and the tempo around it. Key: B.",
    ),
    ("Nudge all beats 5 ms earlier", "The whole grid. Key: Alt and the left arrow."),
    ("Nudge all beats 5 ms later", "The whole grid. Key: Alt and the right arrow."),
    ("Double the tempo", "Two beats for each one, in the whole take. Key: D."),
    ("Half the tempo", "One beat for two, in the whole take. Key: H."),
    (
        "Bars between this place and another",
        "Choose a second place and type how many bars lie between them. Key: N.",
    ),
    ("Remove this anchor", "What was tapped or set there no longer counts. Key: Delete."),
    ("Use the host's grid", "Back to the bars and tempo of the host. It can be undone. Key: R."),
    ("Cancel bars between", "Leaves the number of bars as it is."),
];

/// Endings of labels with their tooltips.
const ENDS: [(&str, &str); 4] = [
    (": more", "One step more. Hold it down to go on; the wheel steps, too."),
    (": less", "One step less. Hold it down to go on; the wheel steps, too."),
    (": reset", "Back to what it was at first."),
    (": press to type", "Press to type a value."),
];

/// Widgets with the pointer or the focus that have no tooltip of their own yet, with their labels.
type Unexplained = Vec<(Id, String)>;

fn key() -> Id {
    Id::unique("unexplained")
}

impl Pen<'_> {
    /// Registers the tooltip of its label, which [`Pen::explain`] replaces if it is called in the same frame.
    pub fn label_tooltip(&self, response: &Response, label: &str) {
        let ends = ENDS.iter().find(|(end, _)| label.ends_with(end));
        let known = WORDS
            .iter()
            .find(|(known, _)| label.trim_end_matches(char::is_numeric).trim() == *known);
        let words = known.or(ends).map_or(label, |(_, words)| words);
        let context = self.ui.ctx();
        context.accesskit_node_builder(response.id, |node| node.set_description(words));
        if response.hovered() || response.has_focus() {
            self.ui.data_mut(|data| {
                let all: &mut Unexplained = data.get_temp_mut_or_default(key());
                all.push((response.id, words.to_owned()));
            });
        }
    }

    /// Removes the tooltip of its label: it has another one.
    pub(super) fn drop_label_tooltip(&self, response: &Response) {
        self.ui.data_mut(|data| {
            let all: &mut Unexplained = data.get_temp_mut_or_default(key());
            all.retain(|(id, _)| *id != response.id);
        });
    }

    /// Shows the registered tooltips of this frame.
    pub fn show_label_tooltips(&self) {
        let all: Unexplained = self.ui.data_mut(|data| data.remove_temp(key()).unwrap_or_default());
        for (id, words) in all {
            let Some(response) = self.ui.ctx().read_response(id) else { continue };
            if response.has_focus() {
                response.show_tooltip_text(words);
            } else {
                response.on_hover_text(words);
            }
        }
    }
}
