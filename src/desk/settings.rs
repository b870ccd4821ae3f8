//! What an official sets once: dark or light, and the text size.

use super::theme::Light;
use host::output::{Existing, Output};
use log::files::make_folder;
use std::fs;
use std::path::{Path, PathBuf};

/// The settings, kept as a file in the data folder.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(crate) struct Settings {
    pub light: Light,
    /// In per cent of what suits the window.
    pub text_percent: u16,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings { light: Light::Dark, text_percent: 100 }
    }
}

/// Text sizes to choose from, in per cent.
pub(crate) const SIZES: [u16; 5] = [90, 100, 115, 130, 150];

fn file(folder: &Path) -> PathBuf {
    folder.join("settings.ron")
}

impl Settings {
    /// Reads the settings. If the file cannot be read, they are the default; the file is kept for a person to look at.
    pub(crate) fn read(folder: &Path) -> Settings {
        let text = match fs::read_to_string(file(folder)) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Settings::default(),
            Err(error) => {
                tracing::warn!("the settings cannot be read: {error}");
                return Settings::default();
            }
        };
        match ron::from_str::<Settings>(&text) {
            Ok(settings) => settings.clamped(),
            Err(error) => {
                tracing::warn!("the settings are not used: {}: {error}", file(folder).display());
                Settings::default()
            }
        }
    }

    /// Writes the settings. A folder that cannot be written must not stop a review, so a failure is only traced.
    pub(crate) fn keep(self, folder: &Path) {
        let text = match ron::to_string(&self) {
            Ok(text) => text,
            Err(error) => return tracing::warn!("the settings cannot be serialized: {error}"),
        };
        if let Err(error) = make_folder(folder) {
            return tracing::warn!("the settings cannot be kept: {error}");
        }
        if let Err(refused) = Output::new(&file(folder), Existing::Replace).write_bytes(text.as_bytes()) {
            tracing::warn!("the settings cannot be kept: {refused}");
        }
    }

    fn clamped(self) -> Settings {
        Settings { text_percent: self.text_percent.clamp(SIZES[0], SIZES[SIZES.len() - 1]), ..self }
    }

    /// Steps to the next larger or smaller text size.
    #[must_use]
    pub(crate) fn sized(self, larger: bool) -> Settings {
        let now = self.text_percent;
        let next = match larger {
            true => SIZES.into_iter().find(|size| *size > now),
            false => SIZES.into_iter().rev().find(|size| *size < now),
        };
        Settings { text_percent: next.unwrap_or(now), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_set_is_there_again_and_a_broken_file_harms_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        assert_eq!(Settings::read(folder.path()), Settings::default());
        let set = Settings { light: Light::Light, text_percent: 130 };
        set.keep(folder.path());
        assert_eq!(Settings::read(folder.path()), set);
        fs::write(file(folder.path()), "(text_percent: 9000)").expect("written");
        assert_eq!(Settings::read(folder.path()).text_percent, 150);
        fs::write(file(folder.path()), "(((").expect("written");
        assert_eq!(Settings::read(folder.path()), Settings::default());
    }

    #[test]
    fn text_grows_and_shrinks_by_steps_and_stops_at_the_ends() {
        let mut settings = Settings::default();
        for expected in [115, 130, 150, 150] {
            settings = settings.sized(true);
            assert_eq!(settings.text_percent, expected);
        }
        for expected in [130, 115, 100, 90, 90] {
            settings = settings.sized(false);
            assert_eq!(settings.text_percent, expected);
        }
    }
}
