//! The furniture of the pages, rendered from its longest and its emptiest samples: every label finds its
//! input, every message is tied to it, what was typed stays, and no markup gets in from a value.

#![expect(clippy::unwrap_used, reason = "a test that cannot make its own input should stop")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use askama::Template;
use standmast::clock::{Clock, Utc};
use standmast::problem::Problem;
use standmast::web::shell::NavItem;
use standmast::web::{Fields, Shell};

struct Stage {
    label: &'static str,
    mark: &'static str,
    word: String,
    href: Option<String>,
    current: bool,
}

struct Numbers {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

#[derive(Template)]
#[template(
    ext = "html",
    source = r#"{% extends "shared/layout.html" %}
{% import "shared/furniture.html" as f %}
{% block title %}{{ title }}{% endblock %}
{% block crumbs %}<a href="/sites/tern-ridge">Tern Ridge</a>{% endblock %}
{% block content %}
{{ f::heading(title, line) }}
{{ f::stages(stages) }}
<div class="cols">
<div class="picture">
{{ f::figure(svg, "Reflected share against the setting of each half", numbers) }}
<dl class="kv">
{{ f::kv("Antenna", "half-wave dipole, 31.6 m of 31.5 m authorised") }}
{{ f::kv("Feed line", "½ in foam, 34 m, 0.73 dB") }}
{% call f::kv("Ground electrode system", "4.1 Ω, 22 Mar 2031") %}<a href="/sites/tern-ridge">fall of potential</a>{% endcall %}
</dl>
{{ f::help("What the band means", "The best setting lies in it with the meter as declared.") }}
</div>
<div>
<h2>Stand against installed</h2>
{% call f::next("Changed by more than these instruments explain.", "Referred to the antenna input: 1.10 on the stand, 1.57 now. Check first the two joints above the arrester (no climb), then metal near half a wavelength long (1.5 m) within one wavelength of the element.", label = "Verdict") %}{{ f::button("Record what was checked") }}{{ f::help("Folded", "Inside a body.") }}{% endcall %}
{{ f::problems(problems) }}
<ul class="problems">{{ f::problem("The meter's calibration has run out", "in the way", "/instruments/3?a=1&b=2") }}</ul>
<h2>Gate: ready for service</h2>
<table class="t stack">
<thead><tr><th scope="col">Check</th><th scope="col">Evidence</th><th scope="col">State</th></tr></thead>
<tbody>
<tr><td data-label="Check">Mast clear, lock-off removed</td><td data-label="Evidence">2 names, 14:05</td><td data-label="State">{{ f::state("tick", "passed") }}</td></tr>
<tr><td data-label="Check">Installed SWR at the measuring point</td><td data-label="Evidence">1.44 (1.36 to 1.53)</td><td data-label="State">{{ f::state("ring", "not shown ≤ 1.5") }}</td></tr>
<tr><td data-label="Check">Meter calibration</td><td data-label="Evidence">expired 2 Feb 2031</td><td data-label="State">{{ f::state("cross", "failed") }}</td></tr>
<tr><td data-label="Check">Surge counter</td><td data-label="Evidence">none fitted</td><td data-label="State">{{ f::state("dash", "not applicable") }}</td></tr>
<tr><td data-label="Check">Structure number posted</td><td data-label="Evidence">condition: by 1 May</td><td data-label="State">{{ f::state("diamond", "under concession") }}</td></tr>
<tr><td data-label="Check">Torque marks on the clamps</td><td data-label="Evidence">snag 4, class B</td><td data-label="State">{{ f::state("flag", "deferred") }}</td></tr>
</tbody></table>
<div class="actions">{{ f::button("Release gate", reason = reason) }}{{ f::button("Print", kind = "second") }}</div>
</div>
</div>
{{ f::next("Lengthen both halves by 4 mm.", "Now 712 mm; the best lies between 713 and 720. Finer than that this meter cannot show. RF off before anyone touches the element.") }}
{{ f::caution("RF off and locked off before anyone touches the element. Local rules and licensed practice come first; this record is not a permit.") }}
<form method="post" action="/sites/tern-ridge/jobs/2/trials">
{{ f::hidden_act(fields) }}{{ f::hidden("version", "3") }}
{{ f::error_summary(fields) }}
<div class="pair">
{{ f::field(fields, "upper_mm", "Upper", unit = "mm", hint = "was 712") }}
{{ f::field(fields, "lower_mm", "Lower", unit = "mm", hint = "was 712") }}
{{ f::field(fields, "forward_w", "Forward", unit = "W", hint = "range 5") }}
{{ f::field(fields, "reflected_w", "Reflected", "W", "range 1", mode = "text") }}
</div>
<div class="fields">
{{ f::choice(fields, "droop", "Droop", answers) }}
{{ f::choice(fields, "weather", "Weather", weather, hint = "at the element") }}
{{ f::datetime(fields, "measured_at", "Measured at", hint = "Ternfold time, UTC+1") }}
{{ f::date(fields, "opened_on", "Opened on") }}
{{ f::select(fields, "instrument", "Instrument", weather) }}
{{ f::text(fields, "station", "Station name") }}
{{ f::password(fields, "password", "Password") }}
{{ f::tick(fields, "read_back", "Read back to the ground, found right", hint = "by voice or radio") }}
</div>
{{ f::area(fields, "remarks", "Remarks", hint = "what was seen, and from where") }}
<div class="actions">{{ f::button("Record trial 7") }}{{ f::button("Record and stop here", kind = "second", name = "then", value = "stop") }}</div>
</form>
<h2>Trials</h2>
{% call f::scroll("Trials on the stand") %}
<table class="t">
<thead><tr><th scope="col">Trial</th><th scope="col" class="n">Each half, mm</th><th scope="col" class="n">Forward, W</th><th scope="col" class="n">Reflected, %</th><th scope="col" class="n">SWR</th></tr></thead>
<tbody>
<tr><th scope="row">6</th><td class="n">712</td><td class="n">4.0</td><td class="n">2.8</td><td class="n">1.40</td></tr>
<tr class="struck"><th scope="row">5</th><td class="n">781</td><td class="n">4.0</td><td class="n">2.2</td><td class="n">1.35</td></tr>
<tr class="reason"><td colspan="5">{{ f::why("struck 12 Mar 2031 11:20 by A. Moor: digits swapped, see trial 6") }}</td></tr>
<tr><th scope="row">4</th><td class="n">724</td><td class="n">4.0</td><td class="n">3.5</td><td class="n">1.46</td></tr>
</tbody></table>
{% endcall %}
<p>Start length {{ f::struck("781 mm", "digits swapped, A. Moor, 12 Mar 2031 11:20") }} 718 mm</p>
{{ f::none("No sweep yet.") }}
{% endblock %}"#
)]
struct Sample {
    shell: Shell,
    fields: Fields,
    problems: Vec<Problem>,
    stages: Vec<Stage>,
    weather: Vec<(String, String)>,
    answers: [(&'static str, &'static str); 2],
    title: String,
    line: String,
    svg: String,
    numbers: Numbers,
    reason: String,
}

const MARKUP: &str = "<img src=x onerror=alert(1)>\"'&";

fn empty_form() -> Fields {
    Fields::empty(&Clock::held(Utc::from_seconds(1_930_000_000)))
}

#[expect(clippy::too_many_lines, reason = "one sample of everything, field by field")]
fn longest() -> Sample {
    let long = "Meter calibration ran out before the day of the reading on the forward range that was used here";
    let fields = empty_form()
        .with("upper_mm", "7l2")
        .with("lower_mm", MARKUP)
        .with("forward_w", "4,0")
        .with("droop", "no")
        .with("weather", "wet")
        .with("instrument", "wet")
        .with("station", "Ternfold Community Radio Association of the Northern Valleys")
        .with("read_back", "yes")
        .with("password", "not to be seen again")
        .with("remarks", "\nfirst line empty\n</textarea><b>")
        .refusing("upper_mm", "“7l2” is not a number; write it in mm, such as 712.5")
        .refusing("droop", "Say whether the element droops.")
        .refusing("read_back", "The read-back is missing.")
        .refusing("", "This job was changed by somebody else.");
    Sample {
        shell: Shell {
            person: Some(format!("Adeline Moorcroft-Fennimore {MARKUP}")),
            nav: "/sites",
            items: vec![
                NavItem { href: "/sites", label: "Sites" },
                NavItem { href: "/instruments", label: "Instruments" },
                NavItem { href: "/people", label: "People" },
            ],
            css_href: "/static/standmast.css".to_owned(),
            js_href: "/static/standmast.js".to_owned(),
        },
        fields,
        problems: vec![
            Problem::blocking("calibration", None, long),
            Problem::blocking("swr", Some("reflected_w"), "Installed SWR not shown to be within 1.5"),
            Problem::warning("soil", None, format!("Soil was moist {MARKUP}")),
            Problem::info("weather", None, "Reading taken in rain"),
        ],
        stages: [
            ("Authority and safety", "tick", "released"),
            ("Stand", "tick", "released"),
            ("On the mast", "tick", "released"),
            ("Cold tests", "diamond", "released with a concession"),
            ("RF on", "ring", "open, 3 in the way"),
            ("Hand-over", "ring", "open"),
        ]
        .iter()
        .enumerate()
        .map(|(index, (label, mark, word))| Stage {
            label,
            mark,
            word: (*word).to_owned(),
            href: (index < 5).then(|| format!("/sites/tern-ridge/jobs/2/stages/{index}")),
            current: index == 4,
        })
        .collect(),
        weather: [("dry", "dry"), ("wet", "rain or wet"), ("ice", "ice")]
            .iter()
            .map(|(value, words)| ((*value).to_owned(), (*words).to_owned()))
            .collect(),
        answers: [("yes", "yes"), ("no", "no")],
        title: "Tern Ridge, job 2: new installation".to_owned(),
        line: "98.4 MHz, Ternfold Radio · opened 8 Mar 2031 · independent release · stage: RF on".to_owned(),
        svg: "<svg class=\"figure\" viewBox=\"0 0 320 60\" width=\"320\" height=\"60\" role=\"img\" aria-label=\"Trial plot\">\
              <rect width=\"320\" height=\"60\" fill=\"var(--wash,#f1ede2)\"/>\
              <path d=\"M10 10Q120 90 310 10\" fill=\"none\" stroke=\"var(--sea,#1f5d6b)\" stroke-width=\"2\"/></svg>"
            .to_owned(),
        numbers: Numbers {
            heads: ["Trial", "Each half, mm", "Reflected, %"].map(str::to_owned).to_vec(),
            rows: vec![["6", "712", "2.8"].map(str::to_owned).to_vec(), ["5", "718", MARKUP].map(str::to_owned).to_vec()],
        },
        reason: "Three checks stand in the way. Someone other than the doer releases.".to_owned(),
    }
}

fn emptiest() -> Sample {
    Sample {
        shell: Shell {
            person: None,
            nav: "",
            items: Vec::new(),
            css_href: "/static/standmast.css".to_owned(),
            js_href: "/static/standmast.js".to_owned(),
        },
        fields: empty_form(),
        problems: Vec::new(),
        stages: Vec::new(),
        weather: Vec::new(),
        answers: [("yes", "yes"), ("no", "no")],
        title: "Site".to_owned(),
        line: String::new(),
        svg: String::new(),
        numbers: Numbers { heads: Vec::new(), rows: Vec::new() },
        reason: String::new(),
    }
}

/// Every value of an attribute, in the order of the page.
fn attributes<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let opening = format!(" {name}=\"");
    html.match_indices(&opening)
        .map(|(at, _)| &html[at + opening.len()..])
        .map(|rest| &rest[..rest.find('"').unwrap()])
        .collect()
}

/// Every tag of a name with its attributes, from `<` to `>`.
fn tags<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    html.match_indices(&format!("<{name} "))
        .map(|(at, _)| &html[at..])
        .map(|rest| &rest[..=rest.find('>').unwrap()])
        .collect()
}

/// Renders a sample, leaves it beside the build for whoever wants to look at it, and gives its text.
fn rendered(name: &str, sample: &Sample) -> String {
    let html = sample.render().unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/target/furniture");
    fs::create_dir_all(folder).unwrap();
    fs::write(format!("{folder}/{name}.html"), &html).unwrap();
    html
}

#[test]
fn every_label_message_and_link_finds_its_field() {
    for html in [rendered("longest", &longest()), rendered("emptiest", &emptiest())] {
        let ids = attributes(&html, "id");
        let known: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), known.len(), "an id stands twice: {ids:?}");
        for target in attributes(&html, "for") {
            assert!(known.contains(target), "a label points at {target}, which is not there");
        }
        for target in attributes(&html, "aria-describedby").iter().flat_map(|list| list.split(' '))
        {
            assert!(known.contains(target), "a field is described by {target}, which is not there");
        }
        for href in attributes(&html, "href").iter().filter(|href| href.starts_with('#')) {
            assert!(known.contains(&href[1..]), "{href} leads nowhere");
        }
    }
}

#[test]
fn every_field_has_a_name_that_can_be_heard() {
    let html = longest().render().unwrap();
    let labelled: BTreeSet<&str> = attributes(&html, "for").into_iter().collect();
    let fields = ["input", "select", "textarea"].map(|name| tags(&html, name)).concat();
    assert!(fields.len() > 15, "the sample shows every kind of field");
    for field in fields {
        let wrapped = html.contains(&format!("<label>{field}"));
        let id = attributes(field, "id");
        assert!(
            field.contains("type=\"hidden\"")
                || wrapped
                || id.iter().any(|id| labelled.contains(id)),
            "no label: {field}"
        );
    }
}

#[test]
fn what_was_typed_stays_and_a_password_does_not() {
    let html = longest().render().unwrap();
    assert!(html.contains("name=\"upper_mm\" value=\"7l2\""));
    assert!(html.contains("name=\"forward_w\" value=\"4,0\""));
    assert!(html.contains("name=\"droop\" value=\"no\" autocomplete=\"off\" checked"));
    assert!(html.contains("<option value=\"wet\" selected>"));
    assert!(html.contains("name=\"read_back\" value=\"yes\" autocomplete=\"off\" checked"));
    // A browser drops one line feed after the opening tag, so the text's own must be the second.
    assert!(html.contains(
        "rows=\"3\" autocomplete=\"off\" aria-describedby=\"h-remarks\">\n\nfirst line empty"
    ));
    assert!(!html.contains("not to be seen again"));
}

#[test]
fn a_refused_form_says_so_first_and_at_each_field() {
    let html = longest().render().unwrap();
    let summary = html.find("role=\"alert\"").unwrap();
    assert!(
        html.find("<strong>Nothing was saved.</strong> 4 answers need a change").unwrap() > summary
    );
    assert!(html.contains("<a href=\"#f-upper_mm\">Upper, mm: “7l2” is not a number"));
    assert!(
        html.contains("<li>This job was changed by somebody else.</li>"),
        "what concerns no field has no link"
    );
    assert!(html.contains(" aria-invalid=\"true\" aria-describedby=\"e-upper_mm h-upper_mm\""));
    assert!(
        html.contains("role=\"radiogroup\" aria-invalid=\"true\" aria-describedby=\"e-droop\"")
    );
    assert_eq!(attributes(&html, "aria-invalid").len(), 3);

    let one = Sample {
        fields: empty_form().refusing("station", "Give the station a name."),
        ..emptiest()
    };
    assert!(one.render().unwrap().contains("One answer needs a change"));

    let calm = emptiest().render().unwrap();
    assert!(
        !calm.contains("role=\"alert\"")
            && !calm.contains("aria-invalid")
            && !calm.contains("class=\"error\"")
    );
}

#[test]
fn a_number_pad_comes_with_a_unit_and_gives_way_to_words() {
    let html = longest().render().unwrap();
    let input = |name: &str| {
        let named = format!("name=\"{name}\"");
        tags(&html, "input").into_iter().find(|tag| tag.contains(&named)).unwrap().to_owned()
    };
    assert!(html.contains("<label for=\"f-upper_mm\">Upper, mm</label> <span class=\"hint\" id=\"h-upper_mm\">was 712</span>"));
    assert!(input("upper_mm").contains("inputmode=\"decimal\""));
    assert!(input("reflected_w").contains("inputmode=\"text\""));
    assert!(!input("station").contains("inputmode"));
    assert!(
        input("reflected_w").contains("value=\"\""),
        "the last value is a hint, never filled in"
    );
}

#[test]
fn a_state_is_a_word_beside_a_drawn_mark() {
    let html = longest().render().unwrap();
    for (mark, word) in [
        ("tick", "passed"),
        ("cross", "failed"),
        ("ring", "not shown ≤ 1.5"),
        ("dash", "not applicable"),
        ("diamond", "under concession"),
        ("flag", "deferred"),
    ] {
        let state = html.split("<span class=\"state\">").find(|rest| {
            rest.contains(&format!("</svg><span>{word}</span>"))
                && rest.contains(&format!("m-{mark}"))
        });
        assert!(
            state.is_some_and(|state| state.contains("aria-hidden=\"true\"")),
            "{word} lacks its mark {mark}"
        );
    }
}

#[test]
fn a_button_that_cannot_be_pressed_says_why() {
    let html = longest().render().unwrap();
    assert!(html.contains(
        "disabled>Release gate</button> <span class=\"reason\">Three checks stand in the way."
    ));
    assert!(!emptiest().render().unwrap().contains("disabled"));
}

#[test]
fn a_name_with_markup_stays_a_name() {
    let html = longest().render().unwrap();
    assert!(!html.contains("<img"), "a value became markup");
    assert!(html.contains("&#60;img src=x onerror=alert(1)&#62;"));
    assert_eq!(html.matches("</textarea>").count(), 1);
}

#[test]
fn nothing_stands_in_a_page_that_the_content_security_policy_refuses() {
    for html in [longest().render().unwrap(), emptiest().render().unwrap()] {
        assert!(attributes(&html, "style").is_empty());
        assert!(
            html.match_indices("<script")
                .all(|(at, _)| html[at..].starts_with("<script src=\"/static/"))
        );
        assert!(attributes(&html, "href").iter().chain(&attributes(&html, "src")).all(|address| {
            ["/", "#", "data:image/"].iter().any(|start| address.starts_with(start))
        }));
        assert!(
            ["onclick", "onload", "onerror", "onsubmit"]
                .iter()
                .all(|name| attributes(&html, name).is_empty())
        );
    }
}

#[test]
fn a_visitor_who_has_not_signed_in_sees_no_menu() {
    let html = emptiest().render().unwrap();
    assert!(!html.contains("<nav") && !html.contains("/sign-out") && !html.contains("data-person"));
    assert!(
        longest().render().unwrap().contains("<a href=\"/sites\" aria-current=\"page\">Sites</a>")
    );
}

const STYLE: &str = include_str!("../static/standmast.css");

/// The colours a part of the style sheet names: `--ink: #1c2126;` gives ("ink", [28, 33, 38]).
fn palette(css: &str) -> BTreeMap<String, [u8; 3]> {
    css.split("--")
        .filter_map(|rest| rest.split_once(": #"))
        .filter(|(name, _)| name.chars().all(|letter| letter.is_ascii_lowercase() || letter == '-'))
        .map(|(name, rest)| {
            let digits: String = rest.chars().take_while(char::is_ascii_hexdigit).collect();
            let full = if digits.len() == 3 {
                digits.chars().flat_map(|digit| [digit, digit]).collect()
            } else {
                digits
            };
            let part = |at: usize| u8::from_str_radix(&full[at..at + 2], 16).unwrap();
            (name.to_owned(), [part(0), part(2), part(4)])
        })
        .collect()
}

/// Contrast ratio of two colours. Source: WCAG 2.1, definitions of relative luminance and contrast ratio.
fn contrast(one: [u8; 3], other: [u8; 3]) -> f64 {
    let luminance = |colour: [u8; 3]| {
        let [red, green, blue] = colour.map(|part| {
            let share = f64::from(part) / 255.0;
            if share <= 0.03928 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn black_on_white_has_the_contrast_the_standard_names() {
    // WCAG 2.1, contrast ratio: "can range from 1 to 21".
    assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast([90; 3], [90; 3]) - 1.0).abs() < 1e-9);
}

#[test]
fn words_can_be_read_on_every_ground_by_day_and_by_night() {
    let (light, rest) = STYLE.split_once("@media screen and (prefers-color-scheme: dark)").unwrap();
    let dark = &rest[..rest.find("/* Ground */").unwrap()];
    for colours in [palette(light), palette(dark)] {
        assert_eq!(colours.len(), 9, "{colours:?}");
        for ground in ["paper", "wash", "field"] {
            for words in ["ink", "soft-ink", "oxide", "sea", "green"] {
                let ratio = contrast(colours[words], colours[ground]);
                // WCAG 2.1, 1.4.3 (AA): at least 4.5 for text; borders and marks need 3 (1.4.11).
                assert!(ratio >= 4.5, "{words} on {ground}: {ratio:.2}");
            }
        }
    }
}

#[test]
fn the_style_sheet_keeps_its_house_rules() {
    assert!(STYLE.len() < 25_000);
    assert!(!STYLE.contains("!important") && !STYLE.contains("http"));
    for used in STYLE.split("var(--").skip(1).map(|rest| &rest[..rest.find([')', ',']).unwrap()]) {
        assert!(STYLE.contains(&format!("--{used}: ")), "{used} is used but not named");
    }
    let fonts: Vec<&str> = STYLE
        .split("url(\"/static/")
        .skip(1)
        .map(|rest| &rest[..rest.find('"').unwrap()])
        .collect();
    assert_eq!(fonts.len(), 3);
    for font in fonts {
        assert!(
            fs::metadata(format!("{}/static/{font}", env!("CARGO_MANIFEST_DIR"))).is_ok(),
            "{font} is not served"
        );
    }
}
