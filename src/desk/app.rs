//! The window as a whole: what it opens on, how keys and time reach the screen, how it scales.

use super::keys::{Cap, Chord};
use super::screen::{self, Screen};
use super::settings::Settings;
use super::theme::Palette;
use super::widget::redraw::redraw;
use super::window_keys::{WINDOW_KEYS, WindowAct};
use super::{Window, display, keys};
use crate::widget::label;
use iced::keyboard::key::Named;
use iced::keyboard::{Event as KeyEvent, Key};
use iced::widget::{column, container, space, stack};
use iced::{Element, Event, Length, Size, Subscription, Task, Theme, event, window};
use std::path::PathBuf;

pub(crate) struct App {
    folder: Option<PathBuf>,
    settings: Settings,
    /// In the system's own units.
    window: Size,
    screen: Screen,
    /// The page of keys is open.
    card: bool,
    /// AltGr is held. Events of other keys do not report it.
    alt_graph: bool,
}

#[derive(Debug, Clone)]
pub(crate) enum Message {
    /// A key, and whether a text line took it.
    Pressed(Chord, event::Status),
    /// AltGr was pressed, or released.
    AltGraph(bool),
    /// New window size, in units of the scale in force.
    Resized(Size),
    Tick,
    Dropped(PathBuf),
    Screen(screen::Message),
}

/// The window size that everything is drawn for. Other windows scale the drawing.
const DRAWN_FOR: Size = Size::new(1440.0, 900.0);
/// Below this scale the smallest text would be too small to read (15 px would become less than 13).
const LEAST_SCALE: f32 = 0.87;

/// Opens the window and returns when it is closed.
pub(crate) fn run(opens: Window) -> iced::Result {
    let mut application = iced::application(move || App::new(&opens), App::update, App::view)
        .title(App::title)
        .subscription(App::subscription)
        .theme(App::theme)
        .scale_factor(App::scale)
        .default_font(label::PLAIN)
        .window(window::Settings {
            size: DRAWN_FOR,
            min_size: Some(Size::new(960.0, 600.0)),
            ..window::Settings::default()
        });
    for face in label::FACES {
        application = application.font(face);
    }
    application.run()
}

impl App {
    fn new(opens: &Window) -> (App, Task<Message>) {
        display::opened();
        let folder = opens.folder().root().ok();
        let settings = folder.as_deref().map(Settings::read).unwrap_or(Settings { ..Settings::default() });
        let (screen, begun) = Screen::open(opens);
        let begun = begun.map(Message::Screen);
        let app = App { folder, settings, window: DRAWN_FOR, screen, card: false, alt_graph: false };
        let size = window::latest().and_then(window::size).map(Message::Resized);
        (app, Task::batch([size, begun]))
    }

    fn title(&self) -> String {
        format!("{} · tellframe", self.screen.title())
    }

    fn theme(&self) -> Theme {
        self.settings.light.theme()
    }

    fn scale(&self) -> f32 {
        scale(self.window, self.settings.text_percent)
    }

    /// Window size in units of the drawing.
    fn room(&self) -> Size {
        let scale = self.scale();
        Size::new(self.window.width / scale, self.window.height / scale)
    }

    fn subscription(&self) -> Subscription<Message> {
        let heard = event::listen_with(|event, status, _| heard(event, status));
        let resized = window::resize_events().map(|(_, size)| Message::Resized(size));
        let mut all = vec![heard, resized];
        if let Some(every) = self.screen.clock_runs() {
            all.push(iced::time::every(every).map(|_| Message::Tick));
        }
        Subscription::batch(all)
    }

    fn update(&mut self, message: Message) -> Task<Message> {
        match message {
            Message::Resized(size) => {
                let scale = self.scale();
                self.window = Size::new(size.width * scale, size.height * scale);
                self.screen.room(self.window).map(Message::Screen)
            }
            Message::Tick => self.screen.tick().map(Message::Screen),
            Message::Dropped(path) => self.screen.dropped(path).map(Message::Screen),
            Message::Screen(message) => self.screen.update(message).map(Message::Screen),
            Message::Pressed(chord, _) if self.alt_graph && !chord.holds_beside_alt_graph() => Task::none(),
            Message::Pressed(chord, status) => self.pressed(chord, status),
            Message::AltGraph(held) => {
                self.alt_graph = held;
                Task::none()
            }
        }
    }

    /// Window keys come first, then the screen's. A text line keeps the keys that it took.
    fn pressed(&mut self, chord: Chord, status: event::Status) -> Task<Message> {
        if self.card {
            // Any key puts the card away, and does nothing else.
            self.card = false;
            return Task::none();
        }
        match keys::act(WINDOW_KEYS, chord) {
            Some(WindowAct::Card) => {
                self.card = true;
                Task::none()
            }
            Some(WindowAct::Light) => {
                self.set(Settings { light: self.settings.light.other(), ..self.settings })
            }
            Some(WindowAct::Larger) => self.set(self.settings.sized(true)),
            Some(WindowAct::Smaller) => self.set(self.settings.sized(false)),
            // A text line that takes Escape only gives up the focus; the screen decides what Escape means.
            None if status == event::Status::Captured && chord.cap != Cap::Escape => Task::none(),
            None => self.screen.pressed(chord).map(Message::Screen),
        }
    }

    fn set(&mut self, settings: Settings) -> Task<Message> {
        self.settings = settings;
        if let Some(folder) = &self.folder {
            settings.keep(folder);
        }
        Task::none()
    }

    fn view(&self) -> Element<'_, Message> {
        let palette = self.settings.light.palette();
        let room = self.room();
        let screen = self.screen.view(palette, room).map(Message::Screen);
        let card = self.card.then(|| self.screen.key_card(palette).map(Message::Screen));
        whole(palette, screen, card)
    }
}

/// Scale factor for a window size in the system's own units and a text size in per cent.
pub(crate) fn scale(window: Size, text_percent: u16) -> f32 {
    let fit = (window.width / DRAWN_FOR.width).min(window.height / DRAWN_FOR.height);
    fit.max(LEAST_SCALE) * f32::from(text_percent) / 100.0
}

/// The content of the window: a screen and, if open, the page of keys over it.
pub(super) fn whole<'a, M: 'a>(
    palette: &'static Palette,
    screen: Element<'a, M>,
    card: Option<Element<'a, M>>,
) -> Element<'a, M> {
    let ground = container(column![screen]).width(Length::Fill).height(Length::Fill);
    let Some(card) = card else { return stack![redraw(), ground].into() };
    let veil = palette.ground.faint(0.8);
    let over = stack![
        ground,
        iced::widget::opaque(container(card).center(Length::Fill).style(move |_| veil.into())),
        space()
    ];
    stack![redraw(), over].into()
}

/// Translates an event. A key that is held down repeats only if it walks through a list.
fn heard(event: Event, status: event::Status) -> Option<Message> {
    match event {
        Event::Keyboard(KeyEvent::KeyPressed { key: Key::Named(Named::AltGraph), .. }) => {
            Some(Message::AltGraph(true))
        }
        Event::Keyboard(KeyEvent::KeyReleased { key: Key::Named(Named::AltGraph), .. })
        | Event::Window(window::Event::Unfocused) => Some(Message::AltGraph(false)),
        Event::Keyboard(KeyEvent::KeyPressed { modified_key, modifiers, repeat, .. }) => {
            let chord = Chord::of(&modified_key, modifiers)?;
            (!repeat || chord.repeats()).then_some(Message::Pressed(chord, status))
        }
        Event::Window(window::Event::FileDropped(path)) => Some(Message::Dropped(path)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use iced::keyboard::key::{Code, Physical};
    use iced::keyboard::{Location, Modifiers};

    fn press(key: Key, modifiers: Modifiers, repeat: bool) -> Event {
        Event::Keyboard(KeyEvent::KeyPressed {
            key: key.clone(),
            modified_key: key,
            physical_key: Physical::Code(Code::KeyA),
            location: Location::Standard,
            modifiers,
            text: None,
            repeat,
        })
    }

    /// Every combination of modifiers.
    fn all_held() -> Vec<Modifiers> {
        let flags = [Modifiers::SHIFT, Modifiers::CTRL, Modifiers::ALT, Modifiers::LOGO];
        let held = |bits: usize| {
            flags.into_iter().enumerate().filter(move |(bit, _)| bits & (1 << bit) != 0).map(|(_, flag)| flag)
        };
        (0..1 << flags.len()).map(|bits| held(bits).collect()).collect()
    }

    /// Every key with every combination of modifiers, pressed and held down.
    // PROPERTY: keys with Alt or Super act never, and a held key acts once
    #[test]
    fn a_held_key_acts_once_and_alt_or_super_with_a_key_acts_never() {
        let named = [Named::Enter, Named::Escape, Named::Tab, Named::Space, Named::Backspace];
        let walks = [Named::ArrowUp, Named::ArrowDown, Named::PageUp, Named::PageDown];
        let others = [Named::ArrowLeft, Named::ArrowRight, Named::Home, Named::End, Named::F2, Named::F9];
        let characters = "abcdefghijklmnopqrstuvwxyz0123456789[].,+-=?";
        let characters = characters.chars().map(|character| Key::Character(character.to_string().into()));
        let named = named.into_iter().chain(walks).chain(others).map(Key::Named);
        for key in characters.chain(named) {
            for modifiers in all_held() {
                // On a Mac the command key takes the place of Super.
                let logo = modifiers.logo() && !cfg!(target_os = "macos");
                let other = modifiers.alt() || logo;
                for repeat in [false, true] {
                    let walks = matches!(&key, Key::Named(named) if walks.contains(named));
                    let heard = heard(press(key.clone(), modifiers, repeat), event::Status::Ignored);
                    let acts = matches!(heard, Some(Message::Pressed(..)));
                    assert_eq!(acts, !other && (!repeat || walks), "{key:?} {modifiers:?} {repeat}");
                }
            }
        }
    }

    #[test]
    fn alt_graph_is_heard_until_it_is_let_go_or_the_window_loses_the_focus() {
        let alt_graph = Key::Named(Named::AltGraph);
        let pressed = heard(press(alt_graph, Modifiers::empty(), false), event::Status::Ignored);
        assert!(matches!(pressed, Some(Message::AltGraph(true))));
        let unfocused = heard(Event::Window(window::Event::Unfocused), event::Status::Ignored);
        assert!(matches!(unfocused, Some(Message::AltGraph(false))));
        for (cap, holds) in [(Cap::Letter('n'), false), (Cap::Enter, false), (Cap::Sign(']'), true)] {
            assert_eq!(keys::plain(cap).holds_beside_alt_graph(), holds, "{cap:?}");
        }
    }
}
