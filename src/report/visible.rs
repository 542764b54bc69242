//! Makes characters visible that would control a terminal or reverse the direction of text.
//!
//! Each is written like `\u001b`, which is legible in text and the same character in JSON. Sources: ECMA-48:1991, 5.2 to 5.4
//! (control functions C0, C1 and escape sequences); Unicode Standard Annex 9, section 2 (directional formatting characters);
//! Unicode Technical Report 36, section 3 (what they are misused for).

use std::borrow::Cow;

/// A text of several lines for a terminal: line ends and tabs stay.
pub fn visible(text: &str) -> Cow<'_, str> {
    shown(text, |character| acts(character) && !matches!(character, '\n' | '\t'))
}

/// A text for one line: line ends and tabs are made visible too.
pub fn visible_on_a_line(text: &str) -> Cow<'_, str> {
    shown(text, acts)
}

/// Whether a character controls the output instead of being printed.
fn acts(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn shown(text: &str, acts: impl Fn(char) -> bool) -> Cow<'_, str> {
    if !text.contains(&acts) {
        return text.into();
    }
    let mut shown = String::with_capacity(text.len() + 16);
    for character in text.chars() {
        match acts(character) {
            true => shown.push_str(&format!("\\u{:04x}", u32::from(character))),
            false => shown.push(character),
        }
    }
    shown.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_acts_is_shown_and_all_else_is_as_it_was() {
        for plain in ["", "a\tb\n", "Ærø → 5 µm", "\u{5e9}\u{5dc}\u{5d5}\u{5dd}", "👩\u{200d}🔬"] {
            assert_eq!(visible(plain), plain);
        }
        assert_eq!(visible("\u{1b}[31mred\u{7f}\u{9b}2J\r\n"), "\\u001b[31mred\\u007f\\u009b2J\\u000d\n");
        assert_eq!(visible("a\u{202e}b\u{2066}c\u{200f}"), "a\\u202eb\\u2066c\\u200f");
        assert_eq!(visible_on_a_line("a\nb\tc"), "a\\u000ab\\u0009c");
        let json = serde_json::to_string("\u{9b}\u{202e}\u{7f}").unwrap();
        assert_eq!(serde_json::from_str::<String>(&visible(&json)).unwrap(), "\u{9b}\u{202e}\u{7f}");
    }
}
