//! Touchstone files of every kind, and wrong ones by line and cause.

use proptest::prelude::*;

use super::{TouchstoneError, read};
use crate::rf::quantity::Quantity;
use crate::rf::sweep::Sweep;

fn one(text: &str) -> Result<Sweep, TouchstoneError> {
    read(text.as_bytes(), "line.s1p")
}

fn cause(text: &str) -> String {
    one(text).unwrap_err().to_string()
}

/// Frequency in MHz and reflection of the first point.
fn first(text: &str) -> (f64, f64, f64) {
    let sweep = one(text).unwrap();
    let point = sweep.points()[0];
    (point.frequency.value() / 1e6, point.reflection.re, point.reflection.im)
}

fn near(found: (f64, f64, f64), wanted: (f64, f64, f64)) {
    let apart = [found.0 - wanted.0, found.1 - wanted.1, found.2 - wanted.2];
    assert!(apart.iter().all(|one| one.abs() < 1e-6), "{found:?} {wanted:?}");
}

/// Source: Touchstone specification 1.1; figures by hand and by scikit-rf 2.2.0 for S and Z. For Y that
/// library multiplies where the specification divides, so the Y row is S = (1 − y)/(1 + y) by hand.
#[test]
fn reads_every_format_unit_and_parameter() {
    near(first("# MHz S RI R 50\n98 0.1 0.2"), (98.0, 0.1, 0.2));
    near(first("#\n0.098 0.5 90"), (98.0, 0.0, 0.5));
    near(first("# Hz S DB R 75\n98000000 -20 45"), (98.0, 0.070_710_68, 0.070_710_68));
    near(first("# MHz Z RI R 50\n98 1.44 0.10"), (98.0, 0.181_702, 0.033_537));
    near(first("# MHz Y RI R 50\n98 1.0 0.5"), (98.0, -0.058_823_5, -0.235_294_1));
    near(first("# r 75 db s hz\n98e6 -20 45"), (98.0, 0.070_710_68, 0.070_710_68));
    near(first("98 0.5 90"), (98_000.0, 0.0, 0.5));
    near(first("#kHz S MA R 50 ! tail\r98000 0.5 -90 ! tail\r"), (98.0, 0.0, -0.5));
    near(first("\u{feff}! head é\r\n# MHz S MA R 50\r\n\r\n98\t-0.5\t0\r\n"), (98.0, -0.5, 0.0));
    near(first("# MHz S RI R 50\n# GHz Z\n98 0.1 0.2"), (98.0, 0.1, 0.2));
}

/// Source: Touchstone specification 2.0: impedances in Ω, `[Reference]` over R, possibly on its own line.
#[test]
fn reads_version_two() {
    let file = "[Version] 2.0\n# MHz Z RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n\
                [Reference]\n75\n[Begin Information]\nanything at all [x\n[End Information]\n\
                [Network Data]\n98 150 0\n[End]\n";
    near(first(file), (98.0, 1.0 / 3.0, 0.0));
    assert!((one(file).unwrap().reference_ohm() - 75.0).abs() < 1e-12);
    assert!(
        cause(&file.replace("[Number of Frequencies] 1", "[Number of Frequencies] 2"))
            .contains("2 frequencies were announced, 1 are there")
    );
    assert!(cause(&file.replace("2.0", "3.0")).starts_with("line 1:"));
    assert!(cause(&file.replace("[Network Data]", "[Nothing]")).contains("nothing"));
}

#[test]
fn takes_port_one_of_more_ports() {
    let two = "# MHz S RI R 50\n98 .1 .2 .9 0 .9 0 .3 .4\n99 .2 .1 .9 0 .9 0 .3 .4\n1 2 3 4 5\n2 2 3 4 5\n";
    let sweep = read(two.as_bytes(), "pad.S2P").unwrap();
    assert_eq!(sweep.points().len(), 2);
    assert!((sweep.points()[1].reflection.re - 0.2).abs() < 1e-12);
    let three = "# MHz S RI R 50\n98 .1 .2 0 0 0 0\n0 0 0 0 0 0\n0 0 0 0 0 0\n";
    assert_eq!(read(three.as_bytes(), "t.s3p").unwrap().points().len(), 1);
    assert!(read(two.replace(" S ", " Z ").as_bytes(), "a.s2p").is_err());
}

#[test]
fn says_line_and_cause() {
    for (text, wanted) in [
        ("", "line 1: the file is empty"),
        ("! only\n! words\n", "line 2: the file is empty"),
        ("# MHz S RI R 50\n", "line 1: the file has no data"),
        ("# MHz S RI R 50\n98 0.1", "line 2: 2 values; a row of a one-port has 3"),
        ("# MHz S RI R 50\n98 0.1 x", "line 2: “x” is not a number"),
        ("# MHz S RI R 50\n98 nan 0", "line 2: “nan” is not a finite number"),
        ("# MHz S RI R 50\n98 1e999 0", "line 2: “1e999” is not a finite number"),
        ("# MHz S RI R 50\n98 .1 .2\n\n98 .1 .2", "line 4: the frequency is not above"),
        ("# MHz S RI R 0\n98 .1 .2", "line 1: after R comes a positive resistance"),
        ("# MHz Q\n98 .1 .2", "line 1: “q” is not known in the option line"),
        ("# MHz H RI R 50\n98 .1 .2", "line 1: G and H data are not read"),
        ("# MHz S RI R 50\n98 .1 é", "line 2: outside comments only plain ASCII"),
        ("98 0.1 0.2\0", "line 1: this is no text"),
        ("[Number of Ports] 1\n98 .1 .2", "line 1: a keyword in brackets needs"),
    ] {
        let said = cause(text);
        assert!(said.starts_with(wanted), "{text:?}: {said}");
    }
}

proptest! {
    #[test]
    fn no_bytes_stop_it(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read(&bytes, "any.s1p");
        let _ = read(&bytes, "any.s3p");
    }

    #[test]
    fn nothing_near_a_file_stops_it(
        text in "(\\[(Version|Reference|Network Data|Number of Ports|Begin Information)\\]|[#!0-9eE. \\-]|MHz|R |\n|\r){0,60}"
    ) {
        let _ = read(text.as_bytes(), "any.s2p");
        let with_head = format!("[Version] 2.0\n{text}");
        let _ = read(with_head.as_bytes(), "any.ts");
    }

    #[test]
    fn what_was_written_is_read(
        points in proptest::collection::vec((-1.5..1.5_f64, -1.5..1.5_f64), 1..40)
    ) {
        let mut text = "# MHz S RI R 50\n".to_owned();
        for (at, (re, im)) in points.iter().enumerate() {
            text.push_str(&format!("{} {re} {im}\n", 88 + at));
        }
        let sweep = one(&text).unwrap();
        prop_assert_eq!(sweep.points().len(), points.len());
        for (read, written) in sweep.points().iter().zip(&points) {
            prop_assert_eq!((read.reflection.re, read.reflection.im), *written);
        }
    }
}
