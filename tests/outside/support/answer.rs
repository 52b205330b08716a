//! What came back, and ways to look at it as a person does.

use axum::http::{HeaderMap, StatusCode, header};
use axum::response::Response;
use http_body_util::BodyExt;

/// An answer of the server.
pub struct Answer {
    /// The status.
    pub status: StatusCode,
    /// The headers.
    pub headers: HeaderMap,
    /// The body as it came.
    pub bytes: Vec<u8>,
    /// The body as text.
    pub body: String,
}

impl Answer {
    pub(super) async fn read(response: Response) -> Self {
        let (parts, body) = response.into_parts();
        let bytes = body.collect().await.unwrap().to_bytes().to_vec();
        let body = String::from_utf8_lossy(&bytes).into_owned();
        Self { status: parts.status, headers: parts.headers, bytes, body }
    }

    /// The same, after making sure of its status.
    #[track_caller]
    pub fn must(self, status: u16) -> Self {
        assert_eq!(self.status.as_u16(), status, "{} answered:\n{}", self.status, self.text());
        self
    }

    /// Where a redirection leads; empty when it is none.
    pub fn location(&self) -> &str {
        self.header(header::LOCATION.as_str())
    }

    /// A header; empty when there is none.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// What a person reads: no markup, single spaces.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let mut inside = false;
        for c in self.body.chars() {
            match c {
                '<' => inside = true,
                '>' => {
                    inside = false;
                    text.push(' ');
                }
                _ if !inside => text.push(c),
                _ => {}
            }
        }
        decoded(&text).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Whether a person reads this.
    pub fn text_has(&self, words: &str) -> bool {
        self.text().contains(words)
    }

    /// Makes sure that a person reads this.
    #[track_caller]
    pub fn shows(&self, words: &str) -> &Self {
        assert!(self.text_has(words), "“{words}” is not in:\n{}", self.text());
        self
    }

    /// What the field of this name holds, as the page fills it in.
    #[track_caller]
    pub fn value(&self, field: &str) -> String {
        let name = format!("name=\"{field}\"");
        let at =
            self.body.find(&name).unwrap_or_else(|| panic!("no field {field}:\n{}", self.body));
        let tag = &self.body[at..];
        let tag = &tag[..tag.find('>').unwrap_or(tag.len())];
        let value = tag.split_once("value=\"").map_or("", |(_, rest)| rest);
        decoded(value.split('"').next().unwrap_or_default())
    }

    /// The message beside the field of this name; empty when there is none.
    pub fn message(&self, field: &str) -> String {
        let Some((_, rest)) = self.body.split_once(&format!("id=\"e-{field}\"")) else {
            return String::new();
        };
        let message = rest.split_once("<span>").map_or("", |(_, message)| message);
        decoded(message.split("</span>").next().unwrap_or_default())
    }
}

fn decoded(text: &str) -> String {
    let named = [
        ("&#60;", "<"),
        ("&#62;", ">"),
        ("&#34;", "\""),
        ("&#39;", "'"),
        ("&lt;", "<"),
        ("&gt;", ">"),
    ];
    let text = named.iter().fold(text.to_owned(), |text, (code, c)| text.replace(code, c));
    // One pass, last: `&#38;amp;` is the text `&amp;`.
    let pieces: Vec<String> =
        text.split("&#38;").map(|piece| piece.replace("&amp;", "&")).collect();
    pieces.join("&")
}
