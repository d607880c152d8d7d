//! Each figure has a tooltip of two sentences, shown under the pointer or with the focus. Sources are on the
//! manual's page of methods.

use crate::panel::widgets::pen::Pen;
use egui::{Response, Sense};
use overbar_core::practice::metronome::LEVEL_CAUTION;

/// The sense of something with a tooltip: it can have the focus.
pub fn sense() -> Sense {
    Sense::focusable_noninteractive()
}

impl Pen<'_> {
    /// Gives `response` the tooltip `words`.
    pub fn explain(&self, response: Response, words: &'static str) -> Response {
        let context = self.ui.ctx();
        context.accesskit_node_builder(response.id, |node| node.set_description(words));
        self.drop_label_tooltip(&response);
        self.focus_ring(&response);
        if response.has_focus() {
            response.show_tooltip_text(words);
            return response;
        }
        response.on_hover_text(words)
    }
}

/// The running figure.
pub const OFF_BEAT: &str = "How many phrases start off the beat. The line shows the likely range; \
    green is the middle half of recorded jazz solos.";

/// The columns over the bar.
pub const ENTRIES: &str = "How many phrases start on each beat and each “and” of the bar; narrow \
    columns are triplets and finer positions.";

/// The longest phrase.
pub const LONGEST: &str =
    "The longest finished phrase, from its first note to the end of its last.";

/// Time in rests.
pub const RESTS: &str = "How much of the time lies in rests between phrases.";

/// Endings off the beat.
pub const EXITS: &str = "Finished phrases whose last note starts off the beat.";

/// Over the bar line.
pub const OVER: &str = "Finished phrases that go on over at least one bar line.";

/// An alert.
pub const ALERT: &str =
    "Set when alerts appear under Settings. They clear when the playing changes.";

/// The notes of a phrase.
pub const NOTES: &str = "Each note where it was played, against bar lines and beats. Capped: on beat \
    one. Square: on another beat. Round: off the beat. Pointed: elsewhere. A right click on a note starts \
    a phrase there.";

/// The notes of a phrase on a staff.
pub const STAFF: &str = "The phrase as it would be written. The columns under the staff show how far each \
    note on a beat lies ahead of it (up) or behind it (down).";

/// The phrases that an advice refers to.
pub const ADVICE_STAFF: &str = "Shows the first phrase that starts in these bars, note by note.";

/// A phrase for notation programs.
pub const PHRASE_SCORE: &str = "Saves the phrase, alone in its bars, for a notation program.";

/// The time feel.
pub const FEEL: &str = "How far notes lie ahead of or behind the beat on average, and how long the \
    first eighth of a pair is against the second. Many soloists lie some 30 ms behind.";

/// The list of takes.
pub const TAKES: &str = "Press a head to sort, again to turn the order, and once more for the order \
    played. A line shows the likely range; green is the middle half of recorded jazz solos.";

/// Off-beat starts from take to take.
pub const TAKE_BY_TAKE: &str = "A point is a take in the order played, the line its likely range. Green \
    is the middle half of recorded jazz solos. Press a point to see the take.";

/// Notes against the chords.
pub const CHORD_TONES: &str = "The point is this take, the line its likely range. What is common depends \
    on the style, so there is no green band.";

/// A phrase against the chords.
pub const PHRASE_ON_CHORDS: &str =
    "How many of its notes are chord tones. Press it to see the phrase.";

/// The chorus with what was played over it.
pub const CHART: &str = "The chorus with its sections and chords. Under them, each line is a chorus of the \
    take that is shown, and each bar of colour a phrase where it was played.";

/// Figures of a take.
pub const FIGURES: &str = "The point is this take, the line its likely range. Green is the middle half \
    of recorded jazz solos in 4/4: what is common, not what is good.";

/// The parts of a take.
pub const PARTS: &str = "A phrase belongs to the chorus, section and solo in which it starts. A line \
    shows the likely range. Press a row to see its phrases.";

/// Progress over days and weeks.
pub const PROGRESS: &str = "All takes and drills of the library. Green is the middle 80 % of recorded \
    jazz solos. Only changes unlikely to be chance are reported.";

/// A figure over the weeks.
pub const PROGRESS_FIGURE: &str = "A point is a week with its likely range. Green is the middle 80 % of \
    recorded jazz solos. Press it to see this figure by player and by tune.";

/// The menus of players and tunes.
pub const PROGRESS_NAMES: &str = "Shows the takes and drills of one player, or in one tune.";

/// Counts again.
pub const PROGRESS_AGAIN: &str = "Looks for takes and drills that have come since.";

/// A player or a tune beside others.
pub const PROGRESS_BY_NAME: &str = "The same figure for each player and each tune, all on one scale. Press \
    one to see all figures of it.";

/// The tune, in the row of tabs.
pub const TUNE: &str = "The tune you play, its form and the player. Press to change them.";

/// A take in the list.
pub const TAKE_ROW: &str =
    "Press to see this take beside the list. A right click shows what can be done with it.";

/// A chorus, section or solo.
pub const PART: &str = "Press to see the phrases of this part.";

/// The stage view.
pub const STAGE: &str = "Shows the state, the beat, the share, the last phrases and the alert, large enough \
    to read from four metres. A pedal can switch it: it is a parameter of the plugin.";

/// The input meter.
pub const INPUT: &str = "How loud the sound is that comes in, from −60 dB to full scale. Peaks between −20 and \
    −6 dB are best; only one voice at a time can be followed.";

/// The corner of the window.
pub const GRIP: &str = "Drag to make the window larger or smaller. A larger one shows more.";

/// The MIDI light.
pub const MIDI: &str = "Lights while notes come in, whether they are analysed or not.";

/// A marker.
pub const MARKER: &str = "Marks this place in the take: what follows is another solo. A pedal can do it \
    too.";

/// The button that taps.
pub const TAP: &str = "Four even taps count in: the beat after them is beat one. Then tap each beat, each \
    bar, or now and then. A note (Settings) is more exact than the mouse.";

/// The button that learns the tap note.
pub const LEARN: &str = "The next note you play becomes the tap note, on its channel. While the beat comes \
    from taps it is not passed on.";

/// The beat grid of a take.
pub const BEAT_GRID: &str = "Where bars and beats lie under the notes. Diamonds were set by hand, rings were \
    tapped. Hatched stretches are too far from any to be sure; at a “?” beats may be missing or too many. \
    Tall strokes at the foot are where the band struck. A right click on a note: beat one is there.";

/// The settings.
pub const SETTINGS: &str = "Input, alerts, timing, takes, metronome and colours.";

/// The manual.
pub const MANUAL: &str = "Opens the manual's first page in the program your system has for text files \
    (Markdown).";

/// A button that opens the file dialog.
pub const CHOOSE: &str = "Opens the file dialog of your system. You can also type the path.";

/// A button that shows a file.
pub const SHOW: &str = "Opens the folder with what was written in your system's file manager.";

/// A button that copies a table.
pub const COPY: &str = "Copies the table as text: paste it into a mail or a spreadsheet.";

/// The form of the tune.
pub const FORM: &str = "Set once for a tune; it comes back with the name. Choruses follow one another \
    from the first bar on. Write sections as name and bars, chords between bar lines.";

/// Whether MusicXML says where phrases start.
pub const STARTS_IN_WORDS: &str =
    "Under the first note of each phrase a MusicXML file says where it starts, like “& of 4”.";

/// The instrument that takes are written for.
pub const WRITTEN_FOR: &str = "What the player reads: takes and comps exported as MusicXML are written for \
    this instrument. It is saved with the project.";

/// The count of a drill.
pub const DRILL_COUNT: &str = "What this drill counts in this chorus, and in all choruses once it is \
    over. Pitch is not judged.";

/// The progress of a drill.
pub const DRILL_STATE: &str = "Where the drill is in the form, and what it asks for.";

/// The choruses of a drill.
pub const DRILL_MARKS: &str = "A row is a chorus. High marks are on target, low ones are missed.";

/// The positions in the bar.
pub const DRILL_BAR: &str = "Where in the bar each phrase started or each note came, in all choruses. \
     Dots over the line are hits, crosses under it came elsewhere, rings were due and did not come. A \
     triangle is a target. Starts are shown without your usual swing and lag.";

/// The choruses side by side.
pub const DRILL_CHORUSES: &str = "A column is a chorus, filled as far as the share that was met. A full \
     column passed; an outlined one did not. The line is the pass mark.";

/// The best earlier result and this one.
pub const DRILL_BEST: &str = "The best earlier result of this drill with the same aim, and this one. A \
     line is the likely range.";

/// What is due.
pub const DRILL_DUE: &str = "What the drill asks for next. It is shown before it is due.";

/// The drill that is selected.
pub const DRILL_SELECTED: &str =
    "Starts the drill selected under Practice at the next chorus, or stops it.";

/// Starts a drill.
pub const DRILL_START: &str =
    "Selects this drill and starts it at the next chorus, after the count-in.";

/// Adds a drill's aims to another.
pub const DRILL_ADD: &str = "Practise it together with the selected drill. Save it as a custom drill to \
    keep it.";

/// Deletes a custom drill.
pub const DRILL_FORGET: &str = "Deletes this custom drill. Its results stay.";

/// The text of a drill.
pub const DRILL_TEXT: &str = "Copy and paste drills as text: with the focus here, Ctrl+C copies and \
    Ctrl+V pastes (macOS: Cmd).";

/// Takes side by side.
pub const COMPARED: &str = "Each take's figures with their likely range.";

/// The differences between takes.
pub const DIFFERENCES: &str = "The first take minus the second, with the likely range. Only differences \
    unlikely to be chance are filled; they are tested together.";

/// The comp.
pub const COMP: &str = "These figures describe the edited comp, not the player.";

/// The columns of the comp sheet.
pub const COLUMNS: &str = "Each column uses one take; edits fall between columns. Choruses and sections \
    come from the tune's form.";

/// The priority of a suggested comp.
pub const AIMS: &str = "Finds the best possible comp for this priority.";

/// Where edits are.
pub const NUDGE: &str = "An edit moves to the nearest rest of both takes, by at most a bar, where that \
    is cleaner.";

/// A button that plays something.
pub const HEAR: &str = "Plays it as it was played: to the MIDI output, for an instrument behind this \
    plugin, and as a plain tone where Tone is on. It ends when the host plays.";

/// The same while the host plays.
pub const HEAR_BLOCKED: &str = "Stop the host to hear this.";

/// The tooltip of a setting; `None` if its name says it all.
pub fn setting(id: &str) -> Option<&'static str> {
    Some(match id {
        "one_streak" => "An alert when this many phrases in a row start on beat one.",
        "short_streak" => "An alert when this many phrases in a row are short.",
        "short_bars" => "A phrase shorter than this is short.",
        "long_bars" => "A phrase of at least this length is long.",
        "long_within" => "An alert when this many bars pass without a long phrase.",
        "click" => "A click on the host's beat, from the plugin's own output.",
        "click_places" => {
            "Where it clicks: every beat, 2 and 4, every other bar, or one position only."
        }
        "click_count_in" => "Clicks every beat for this many bars after playback starts.",
        "click_level" => LEVEL_CAUTION,
        "hear_speed" => "How fast Hear plays, as a part of the tempo that was played.",
        "hear_loop" => {
            "Plays it over and over, from bar line to bar line where the host gave a tempo."
        }
        "hear_click" => "Clicks on each felt beat while it plays, at the level of the click.",
        "hear_tone" => {
            "A plain tone out of the plugin's own output. Switch it off where an instrument plays \
             the MIDI."
        }
        "hear_level" => {
            "The peak of one loud note. Start with speakers or headphones low and come up from \
             there."
        }
        "channel" => {
            "Only notes on this MIDI channel are the soloist's. Others are stored, not analysed."
        }
        "instrument" => {
            "What is played: its range and attack help to find notes. For a soprano sax choose alto sax; \
             “any” works for most."
        }
        "tuning" => "What the player tunes to; “auto” finds it from the playing.",
        "midi_out" => {
            "Sends the notes that are heard to the MIDI output, always 150 ms after they were \
             played, so that the host can record them."
        }
        "low_key" => "Notes below this one are ignored: stored, not analysed. C4 is middle C.",
        "high_key" => "Notes above this one are ignored: stored, not analysed. C4 is middle C.",
        "one_offset" => "Moves beat one, for a song that does not begin on the host's bar line.",
        "melody" => {
            "Auto follows the line through chords and a left hand. Top voice expects two voices \
             throughout. All notes leaves nothing out."
        }
        "beat_source" => {
            "Where the beat comes from: the host’s tempo and position; taps; or the band, heard by Overbar \
             Listen on its track. For playing without a click."
        }
        "role" => {
            "Whom it hears. On the band’s, the bass’s or the drums’ track choose “band”: it follows the beat, and \
             instances for soloists with the beat source “band” go by it."
        }
        "pair" => {
            "Where there are several bands: a soloist goes by the band with the same number. “Any” is for one \
             band."
        }
        "tap_note" => {
            "This note taps the beat while the beat comes from taps; it is not passed on. A pad or a \
             foot pedal is best."
        }
        "tap_channel" => "The MIDI channel of the tap note.",
        "tap" => "Taps the beat once, also from a pedal that switches it on. A note is more exact.",
        "felt_pulse" => "Counts beats at half or twice the host's speed.",
        "feel" => {
            "Whether two thirds of a beat is a swung “and” or a triplet. Auto decides from the \
             playing."
        }
        "rig_delay" => {
            "How much later than played your notes arrive. Taps along with a click measure it: \
             overbar calibrate."
        }
        "finer" => "Higher finds more, shorter phrases. Learns from your corrections.",
        "solo_rest" => {
            "A take is split into solos after a rest of this length, or at markers only."
        }
        "mark" => {
            "Adds a marker at the current position: what follows is another solo. A pedal can do \
             it too."
        }
        "record_only" => "Only what is played while the host records becomes a take.",
        "playback" => {
            "Keeps a take the host plays back as a take of its own, marked as played back."
        }
        "drill" => "Starts or stops the selected drill, for a pedal or automation.",
        "across" => STAGE,
        _ => return None,
    })
}
