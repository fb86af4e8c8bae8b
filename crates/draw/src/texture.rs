//! Textures as geometry, so that a picture needs no names that a second picture could take.

use crate::{HourState, Texture};

/// A small sample of a texture for a key, 34 by 14 px.
pub fn swatch(texture: Texture) -> String {
    let _ = texture;
    String::new()
}

/// A small sample of a state of the hour ruler, for a key.
pub fn state_swatch(state: HourState) -> String {
    let _ = state;
    String::new()
}

/// A small bracket, for a key.
pub fn bracket_swatch() -> String {
    String::new()
}
