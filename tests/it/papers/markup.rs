//! Papers are well formed, self-contained, escaped, and the same for any order of rows.

use std::collections::BTreeSet;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use rehouse::comparison::compare;

use super::{demo, hostile, papers, planned};
use crate::comparison;
use crate::support::ProjectFiles;

/// An element with its attributes.
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
}

/// The elements of a document. Panics where it is not well formed: elements that cross or stay open, attributes without
/// quotes or given twice, unknown entities, forbidden characters.
fn tags(name: &str, text: &str) -> Vec<Tag> {
    let mut reader = Reader::from_str(text);
    reader.config_mut().check_end_names = true;
    let (mut tags, mut open) = (Vec::new(), 0_usize);
    loop {
        let event =
            reader.read_event().unwrap_or_else(|error| panic!("{name} at {}: {error}", reader.error_position()));
        match event {
            Event::Start(ref element) | Event::Empty(ref element) => {
                open += usize::from(matches!(event, Event::Start(_)));
                tags.push(tag(name, element));
            }
            Event::End(_) => open -= 1,
            Event::Text(words) => {
                let words: &str = &words;
                assert!(
                    !words.chars().any(|c| c.is_control() && c != '\n'),
                    "{name}: a control character in {words:?}"
                );
            }
            Event::GeneralRef(entity) => {
                let entity: &str = &entity;
                assert!(["amp", "lt", "gt", "quot", "#39"].contains(&entity), "{name}: &{entity};");
            }
            Event::DocType(kind) => assert_eq!(&*kind, "html", "{name}"),
            Event::Eof => break,
            other => panic!("{name}: {other:?}"),
        }
    }
    assert_eq!(open, 0, "{name}: elements are left open");
    tags
}

fn tag(name: &str, element: &BytesStart) -> Tag {
    let attributes = element.attributes().map(|attribute| {
        let attribute = attribute.unwrap_or_else(|error| panic!("{name}: {error} in {element:?}"));
        (attribute.key.as_ref().to_owned(), attribute.value.into_owned())
    });
    Tag { name: element.name().as_ref().to_owned(), attributes: attributes.collect() }
}

/// The page of the starter, which uses its style sheet without the fill patterns.
const MEASURE: &str = "how-to-measure.html";

/// Every paper of the demo and of the hostile project, and the page that the starter writes.
fn every_paper() -> Vec<(&'static str, String)> {
    let starter = rehouse::starter::files(&rehouse::intake::default_rules());
    let measure = starter.into_iter().find(|file| file.name == MEASURE).expect("the page").bytes;
    let measure = (MEASURE, String::from_utf8(measure).expect("UTF-8"));
    let plans = [demo(), hostile()];
    let plans = plans.iter().flat_map(|files| {
        let (project, plan) = planned(files);
        papers(&project, &plan)
    });
    plans.chain([measure]).chain([demo(), hostile()].iter().map(compared)).collect()
}

/// The page that compares a plan with that of the survey without its last line.
fn compared(files: &ProjectFiles) -> (&'static str, String) {
    let mut fewer = files.clone();
    let survey = String::from_utf8_lossy(&files["specimens.csv"]).into_owned();
    let (before, _) = survey.trim_end().rsplit_once('\n').expect("lines");
    fewer.insert("specimens.csv".to_owned(), format!("{before}\n").into_bytes());
    let [old, new] = [files, &fewer].map(comparison::planned);
    let compared = compare(comparison::side(&old), comparison::side(&new)).expect("one currency");
    ("comparison.html", String::from_utf8(comparison::shown(&compared).page()).expect("UTF-8"))
}

#[test]
fn every_paper_is_well_formed() {
    for (name, text) in every_paper() {
        assert!(tags(name, &text).len() > 20, "{name}");
    }
}

#[test]
fn ids_of_elements_are_unique_and_every_reference_leads_to_one() {
    for (name, text) in every_paper() {
        let tags = tags(name, &text);
        let value = |tag: &Tag, wanted: &str| {
            tag.attributes.iter().find(|(key, _)| key == wanted).map(|(_, value)| value.clone())
        };
        let ids: Vec<String> = tags.iter().filter_map(|tag| value(tag, "id")).collect();
        let known: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(known.len(), ids.len(), "{name}: an id twice");
        for to in tags.iter().filter_map(|tag| value(tag, "href")) {
            let id = to.strip_prefix('#').unwrap_or_else(|| panic!("{name}: a reference to the outside: {to}"));
            assert!(known.contains(&id.to_owned()), "{name}: leads nowhere: {to}");
        }
        for part in text.split("url(").skip(1) {
            let to = part.split(')').next().unwrap_or_default();
            let id = to.strip_prefix('#').unwrap_or_else(|| panic!("{name}: a reference to the outside: {to}"));
            assert!(
                known.contains(&id.to_owned()) || name == MEASURE || !text.contains("<svg"),
                "{name}: no such pattern: {to}"
            );
        }
    }
}

#[test]
fn no_paper_needs_a_network_or_a_script() {
    for (name, text) in every_paper() {
        let tags = tags(name, &text);
        for outside in ["script", "link", "img", "iframe", "object", "embed", "base", "form", "image"] {
            assert!(tags.iter().all(|tag| tag.name != outside), "{name}: <{outside}>");
        }
        let calls = |tag: &Tag| tag.attributes.iter().any(|(key, _)| key.starts_with("on") || key == "src");
        assert!(!tags.iter().any(calls), "{name}: an attribute that runs or fetches");
        for word in ["http:", "https:", "@import", "javascript:"] {
            assert!(!text.contains(word), "{name}: {word}");
        }
    }
}

#[test]
fn typed_text_is_shown_and_never_run() {
    let (project, plan) = planned(&hostile());
    for (name, text) in papers(&project, &plan) {
        for raw in ["<script", "<svg onload", "</style>\u{fffd}", "<i>carried", "<human", "<hold", "<Foss"] {
            assert!(!text.contains(raw), "{name}: {raw}");
        }
        if name != "fire-sheet.html" {
            assert!(text.contains("&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt;"), "{name} does not show the key");
        }
    }
    let report = &papers(&project, &plan)[0].1;
    for shown in
        ["&lt;Foss &amp; &quot;Sons&quot;&gt;", "&lt;c&amp;d&gt;", "&lt;crowns&gt;&amp;", "jar&lt;&amp;&quot;&#39;&gt;"]
    {
        assert!(report.contains(shown), "{shown}");
    }
}

#[test]
fn a_paper_is_the_same_for_any_order_of_the_rows() {
    let files = demo();
    let mut turned = files.clone();
    for name in ["specimens.csv", "vessels.csv"] {
        let text = String::from_utf8(files[name].clone()).expect("UTF-8");
        let (head, rows) = text.split_once('\n').expect("a header");
        let mut rows: Vec<&str> = rows.lines().collect();
        rows.reverse();
        // The first row of a vessel in the stock carries what its other rows leave blank.
        if name == "vessels.csv" {
            rows.reverse();
            rows.rotate_left(20);
        }
        turned.insert(name.to_owned(), format!("{head}\n{}\n", rows.join("\n")).into_bytes());
    }
    let [one, other] = [files, turned].map(|files| {
        let (project, plan) = planned(&files);
        papers(&project, &plan)
    });
    for ((name, one), (_, other)) in one.into_iter().zip(other) {
        let differ = one.split("><").zip(other.split("><")).find(|(one, other)| one != other);
        assert!(one == other, "{name} differs: {differ:?}");
    }
}
