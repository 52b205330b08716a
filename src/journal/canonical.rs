//! Canonical JSON (RFC 8785) and its SHA-256 digest. Figures go in as decimal text, never as
//! floating-point numbers, so that the text is the same on every machine and for every reader.

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::db::StoreError;

/// The canonical JSON text of a value.
///
/// # Errors
/// [`StoreError::Unreadable`] when the value has no JSON form (a map with keys that are no text).
pub fn canonical<T: Serialize>(value: &T) -> Result<String, StoreError> {
    serde_json_canonicalizer::to_string(value)
        .map_err(|error| StoreError::Unreadable { what: "canonical JSON", why: error.to_string() })
}

/// SHA-256 of a text's UTF-8 bytes.
#[must_use]
pub fn digest_of(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// Bytes as lower-case hexadecimal text, as digests are written.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The bytes of a hexadecimal text that [`hex`] wrote; pairs that are none are left out.
#[must_use]
pub fn unhex(text: &str) -> Vec<u8> {
    let pair = |at: usize| text.get(at..at + 2).and_then(|two| u8::from_str_radix(two, 16).ok());
    (0..text.len()).step_by(2).filter_map(pair).collect()
}

#[cfg(test)]
mod tests {
    use super::{canonical, digest_of, hex, unhex};

    #[test]
    fn keys_are_sorted_and_text_is_kept() {
        // RFC 8785 section 3.2.3: keys sorted by UTF-16 code units, no white space.
        let value = serde_json::json!({"b": "4.0 W", "a": [true, null], "é": "Ω"});
        assert_eq!(canonical(&value).unwrap(), r#"{"a":[true,null],"b":"4.0 W","é":"Ω"}"#);
    }

    #[test]
    fn the_digest_is_sha_256() {
        // FIPS 180-4 example: SHA-256("abc").
        let digest = digest_of("abc");
        assert_eq!(unhex(&hex(&digest)), digest);
        assert_eq!(
            hex(&digest),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
