//! The lines of a file without comments: ended by CR, LF or CRLF, in plain ASCII.

use super::{TouchstoneError, wrong};

/// A word of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    /// As written.
    pub text: String,
}

/// At most so much of a wrong word is repeated in a message.
const SHOWN: usize = 40;

impl Token {
    /// Short enough for a message.
    pub fn shown(&self) -> String {
        if self.text.chars().count() <= SHOWN {
            return self.text.clone();
        }
        self.text.chars().take(SHOWN).chain(['…']).collect()
    }
}

/// A line that says something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// Its number in the file, from 1.
    pub number: usize,
    /// Its words.
    pub tokens: Vec<Token>,
}

/// The lines that say something. Comments, from `!` to the line's end, may hold any bytes.
pub(super) fn split(bytes: &[u8]) -> Result<Vec<Line>, TouchstoneError> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.contains(&0) {
        return wrong(1, "this is no text: it holds zero bytes");
    }
    let mut lines = Vec::new();
    let mut rest = bytes;
    let mut number = 0;
    while !rest.is_empty() {
        number += 1;
        let end = rest.iter().position(|byte| matches!(byte, b'\r' | b'\n')).unwrap_or(rest.len());
        let (line, after) = rest.split_at(end);
        rest = match after {
            [b'\r', b'\n', rest @ ..] | [_, rest @ ..] => rest,
            [] => after,
        };
        let said = line.split(|byte| *byte == b'!').next().unwrap_or_default();
        let Ok(text) = std::str::from_utf8(said) else {
            return wrong(number, "outside comments only plain ASCII is allowed");
        };
        if !text.is_ascii() {
            return wrong(number, "outside comments only plain ASCII is allowed");
        }
        let tokens: Vec<Token> =
            text.split_ascii_whitespace().map(|text| Token { text: text.to_owned() }).collect();
        if !tokens.is_empty() {
            lines.push(Line { number, tokens });
        }
    }
    if lines.is_empty() {
        return wrong(number.max(1), "the file is empty");
    }
    Ok(lines)
}
