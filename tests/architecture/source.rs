//! Reads Rust source as text: takes away comments, texts and test modules, and finds the paths that
//! a file names, each spelled out from the crate's root.

use std::collections::{BTreeMap, BTreeSet};

/// One file of `src/`.
pub struct Source {
    /// Path below `src/`, with `/`: `jobs/pages/gates.rs`.
    pub path: String,
    /// The file as it is.
    pub text: String,
    /// The same with comments and literals blanked and test modules taken away; lines keep their numbers.
    pub code: String,
    /// Modules that only exist under `#[cfg(test)]` and live in files of their own.
    pub test_modules: BTreeSet<String>,
}

/// A path that a file names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// Segments; `crate` first when it lies in this crate, else the outside crate's name first.
    pub path: Vec<String>,
    /// Line in the file, from 1.
    pub line: usize,
    /// The name that a `use` binds it to; `None` outside a `use`.
    pub bound_to: Option<String>,
    /// Said by a `pub use`.
    pub exported: bool,
}

impl Source {
    /// Takes the file apart; `path` is below `src/`.
    pub fn new(path: &str, text: &str) -> Self {
        let blanked = blank(text);
        let (code, test_modules) = without_test_modules(&blanked);
        Self { path: path.to_owned(), text: text.to_owned(), code, test_modules }
    }

    /// The module's own path below the crate: `["jobs", "pages", "gates"]`; empty for `lib.rs` and `main.rs`.
    pub fn module(&self) -> Vec<String> {
        let stem = self.path.strip_suffix(".rs").unwrap_or(&self.path);
        let mut parts: Vec<String> = stem.split('/').map(str::to_owned).collect();
        if matches!(parts.last().map(String::as_str), Some("mod" | "lib" | "main")) {
            parts.pop();
        }
        parts
    }

    /// Lines that are not test modules.
    pub fn lines_without_tests(&self) -> usize {
        let all = self.text.lines().count();
        let blanked = blank(&self.text);
        let tests = blanked
            .lines()
            .zip(self.code.lines())
            .filter(|(before, after)| !before.trim().is_empty() && after.trim().is_empty())
            .count();
        all - tests
    }

    /// Every path that the code names, spelled out, in the order of the file.
    pub fn named(&self) -> Vec<Named> {
        let tokens = tokens(&self.code);
        let mut raw = Vec::new();
        let mut i = 0;
        while i < tokens.len() {
            let precise_capture = tokens.get(i + 1).is_some_and(|next| next.text == "<");
            if tokens[i].text == "use" && !precise_capture {
                let exported = i > 0 && matches!(tokens[i - 1].text.as_str(), "pub" | ")");
                i = use_tree(&tokens, i + 1, &[], exported, &mut raw);
            } else if is_name(&tokens[i].text) {
                i = plain_path(&tokens, i, &mut raw);
            } else {
                i += 1;
            }
        }
        self.spelled_out(raw, &child_modules(&tokens))
    }

    /// Turns `self`, `super`, names bound by `use` and child modules into paths from the crate's root.
    fn spelled_out(&self, raw: Vec<Named>, children: &BTreeSet<String>) -> Vec<Named> {
        let mut bound: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for named in &raw {
            if let Some(name) = &named.bound_to {
                bound.insert(name.clone(), self.rooted(&named.path, children));
            }
        }
        raw.into_iter()
            .map(|named| {
                let rooted = self.rooted(&named.path, children);
                let path = match bound.get(&rooted[0]) {
                    Some(origin) if named.bound_to.is_none() => {
                        origin.iter().chain(&rooted[1..]).cloned().collect()
                    }
                    _ => rooted,
                };
                Named { path, ..named }
            })
            .collect()
    }

    fn rooted(&self, path: &[String], children: &BTreeSet<String>) -> Vec<String> {
        let mut base = vec!["crate".to_owned()];
        base.extend(self.module());
        let mut rest = path;
        match rest[0].as_str() {
            "crate" => return path.to_vec(),
            "self" => rest = &rest[1..],
            "super" => {
                while rest.first().is_some_and(|part| part == "super") {
                    if base.len() > 1 {
                        base.pop();
                    }
                    rest = &rest[1..];
                }
            }
            name if children.contains(name) => {}
            _ => return path.to_vec(),
        }
        base.extend(rest.iter().cloned());
        base
    }
}

struct Token {
    text: String,
    line: usize,
}

fn is_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

fn tokens(code: &str) -> Vec<Token> {
    let mut found = Vec::new();
    for (number, line) in code.lines().enumerate() {
        let mut rest = line;
        while let Some(first) = rest.chars().next() {
            let length = if first.is_alphanumeric() || first == '_' {
                rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len())
            } else if rest.starts_with("::") {
                2
            } else {
                first.len_utf8()
            };
            if !first.is_whitespace() {
                found.push(Token { text: rest[..length].to_owned(), line: number + 1 });
            }
            rest = &rest[length..];
        }
    }
    found
}

fn child_modules(tokens: &[Token]) -> BTreeSet<String> {
    tokens
        .windows(2)
        .filter(|pair| pair[0].text == "mod" && is_name(&pair[1].text))
        .map(|pair| pair[1].text.clone())
        .collect()
}

/// Reads `a::b::c` from `start`, gives the index after it.
fn plain_path(tokens: &[Token], start: usize, found: &mut Vec<Named>) -> usize {
    let mut path = vec![tokens[start].text.clone()];
    let mut i = start + 1;
    while i + 1 < tokens.len() && tokens[i].text == "::" && is_name(&tokens[i + 1].text) {
        path.push(tokens[i + 1].text.clone());
        i += 2;
    }
    // A name alone says nothing that its `use` did not say.
    if path.len() > 1 {
        found.push(Named { path, line: tokens[start].line, bound_to: None, exported: false });
    }
    i
}

/// Reads one branch of a `use` from `start`, gives the index of what ends it (`;`, `,` or `}`).
fn use_tree(
    tokens: &[Token],
    start: usize,
    prefix: &[String],
    exported: bool,
    found: &mut Vec<Named>,
) -> usize {
    let mut path = prefix.to_vec();
    let mut i = start;
    let line = tokens.get(start).map_or(0, |token| token.line);
    let mut bound_to = None;
    while i < tokens.len() {
        match tokens[i].text.as_str() {
            "::" => {}
            "{" => {
                i += 1;
                while i < tokens.len() && tokens[i].text != "}" {
                    i = use_tree(tokens, i, &path, exported, found);
                    if tokens.get(i).is_some_and(|token| token.text == ",") {
                        i += 1;
                    }
                }
                return i + 1;
            }
            "as" => {
                bound_to = tokens.get(i + 1).map(|token| token.text.clone());
                i += 1;
            }
            "self" if !path.is_empty() => {}
            ";" | "," | "}" => break,
            name => path.push(name.to_owned()),
        }
        i += 1;
    }
    if !path.is_empty() {
        let bound_to = bound_to.or_else(|| path.last().cloned());
        found.push(Named { path, line, bound_to, exported });
    }
    i
}

/// Blanks comments, texts and character literals; keeps line ends.
fn blank(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut i = 0;
    while i < chars.len() {
        let end = literal_or_comment(&chars, i);
        if end > i {
            out.extend(chars[i..end].iter().map(|&c| if c == '\n' { '\n' } else { ' ' }));
            i = end;
        } else {
            out.push(chars[i]);
            i += 1;
        }
    }
    out
}

/// Where the comment or literal that begins at `i` ends; `i` itself when none begins there.
fn literal_or_comment(chars: &[char], i: usize) -> usize {
    let next = chars.get(i + 1).copied();
    match chars[i] {
        '/' if next == Some('/') => {
            chars[i..].iter().position(|&c| c == '\n').map_or(chars.len(), |length| i + length)
        }
        '/' if next == Some('*') => block_comment(chars, i),
        '"' => text_literal(chars, i),
        'r' if !follows_name(chars, i) => raw_text(chars, i),
        '\'' => character(chars, i),
        _ => i,
    }
}

fn follows_name(chars: &[char], i: usize) -> bool {
    // `br"…"` and `cr"…"` are raw texts too.
    let before = |back: usize| i.checked_sub(back).and_then(|at| chars.get(at)).copied();
    let in_name = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    match before(1) {
        Some('b' | 'c') => in_name(before(2)),
        other => in_name(other),
    }
}

fn block_comment(chars: &[char], start: usize) -> usize {
    let mut depth = 0;
    let mut i = start;
    while i < chars.len() {
        match (chars[i], chars.get(i + 1)) {
            ('/', Some('*')) => {
                depth += 1;
                i += 2;
            }
            ('*', Some('/')) => {
                depth -= 1;
                i += 2;
                if depth == 0 {
                    return i;
                }
            }
            _ => i += 1,
        }
    }
    i
}

fn text_literal(chars: &[char], start: usize) -> usize {
    let mut i = start + 1;
    while i < chars.len() {
        match chars[i] {
            '\\' => i += 2,
            '"' => return i + 1,
            _ => i += 1,
        }
    }
    chars.len()
}

fn raw_text(chars: &[char], start: usize) -> usize {
    let hashes = chars[start + 1..].iter().take_while(|&&c| c == '#').count();
    let open = start + 1 + hashes;
    if chars.get(open) != Some(&'"') {
        return start;
    }
    let mut i = open + 1;
    while i < chars.len() {
        let closing = &chars[i + 1..];
        if chars[i] == '"' && closing.iter().take_while(|&&c| c == '#').count() >= hashes {
            return i + 1 + hashes;
        }
        i += 1;
    }
    i
}

/// A character literal, but not a lifetime.
fn character(chars: &[char], start: usize) -> usize {
    match (chars.get(start + 1), chars.get(start + 2)) {
        (Some('\\'), Some(_)) => chars[start + 3..]
            .iter()
            .position(|&c| c == '\'')
            .map_or(start, |length| start + 3 + length + 1),
        (Some(_), Some('\'')) => start + 3,
        _ => start,
    }
}

const TEST_ONLY: &str = "#[cfg(test)]";

/// Blanks `#[cfg(test)] mod x { … }`, and gives the names of those that live in files of their own.
fn without_test_modules(code: &str) -> (String, BTreeSet<String>) {
    let mut out = code.to_owned();
    let mut elsewhere = BTreeSet::new();
    let mut from = 0;
    while let Some(found) = out[from..].find(TEST_ONLY) {
        let start = from + found;
        from = start + TEST_ONLY.len();
        let Some((name, body)) = module_head(&out[from..]) else {
            continue;
        };
        let body = from + body;
        if out[body..].starts_with(';') {
            elsewhere.insert(name);
            continue;
        }
        let end = closing_brace(&out, body);
        let blanked: String =
            out[start..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
        out.replace_range(start..end, &blanked);
    }
    (out, elsewhere)
}

/// Name of the module that begins here (other attributes and `pub` may come first), and where its `{` or `;` is.
fn module_head(code: &str) -> Option<(String, usize)> {
    let at = code.find(['{', ';'])?;
    let mut words = code[..at].split_whitespace().rev();
    let name = words.next()?;
    (words.next()? == "mod").then(|| (name.to_owned(), at))
}

fn closing_brace(code: &str, open: usize) -> usize {
    let mut depth = 0_usize;
    for (at, c) in code[open..].char_indices() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return open + at + 1;
                }
            }
            _ => {}
        }
    }
    code.len()
}
