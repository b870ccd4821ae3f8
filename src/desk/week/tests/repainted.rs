//! For consecutive states of every tab of the week: a partial repaint equals the whole drawing.

use super::by_keys::{opened, played, press};
use crate::app;
use crate::keys::{Cap, Chord, plain};
use crate::support::display::{Display, LOOKS};
use crate::week::keys::KEYS;
use crate::week::{Message, Tab, Week};

fn see(display: &mut Display, week: &mut Week, after: &str) {
    let palette = display.look().light.palette();
    let screen = week.view(palette, display.room());
    let state = format!("{} after {after}", week.tab.name());
    for message in display.show(&state, app::whole(palette, screen, None)) {
        let _ = week.update(message);
    }
}

fn see_pressed(display: &mut Display, week: &mut Week, chord: Chord) {
    press(week, &[chord]);
    see(display, week, &chord.to_string());
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn on_every_tab_of_a_week_a_partial_repaint_equals_a_whole_one() {
    for look in LOOKS {
        let folder = tempfile::tempdir().expect("a folder");
        let (named, _) = played(folder.path(), 60);
        let mut week = opened(folder.path(), &named);
        let mut display = Display::new(look);
        see(&mut display, &mut week, "opened");
        for (number, tab) in (1..).zip(Tab::ALL) {
            for chord in [plain(Cap::Digit(number)), plain(Cap::Down), plain(Cap::Down), plain(Cap::Right)] {
                see_pressed(&mut display, &mut week, chord);
            }
            assert_eq!(week.tab, tab);
        }
        see_pressed(&mut display, &mut week, plain(Cap::Digit(4)));
        // Every key is tried in one look only.
        let keys = if look == LOOKS[0] { KEYS } else { &[] };
        for chord in keys.iter().filter_map(|binding| binding.chords.first()) {
            see_pressed(&mut display, &mut week, *chord);
            if week.typing.is_some() {
                let _ = week.update(Message::Typed("far corner".to_owned()));
                see(&mut display, &mut week, "typing");
            }
            see_pressed(&mut display, &mut week, plain(Cap::Escape));
        }
        let palette = look.light.palette();
        let card = week.key_card(palette);
        display.show("its keys", app::whole(palette, week.view(palette, display.room()), Some(card)));
        see(&mut display, &mut week, "its keys");
        display.ended();
    }
}
