//! Well formed, self-contained, escaped, the same for any order of rows.

use std::collections::BTreeSet;

use super::{demo, hostile, papers, planned};

/// An element or an end tag, with its attributes.
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
    ends: bool,
    empty: bool,
}

/// The tags of a document. Panics where it is not well formed: stray marks, attributes without quotes, unknown entities.
fn tags(name: &str, text: &str) -> Vec<Tag> {
    let mut tags = Vec::new();
    let mut rest = text.strip_prefix("<!DOCTYPE html>").or_else(|| text.strip_prefix("<!doctype html>")).expect("HTML");
    while let Some(start) = rest.find('<') {
        words(name, &rest[..start]);
        let end = start + rest[start..].find('>').unwrap_or_else(|| panic!("{name}: an open tag"));
        let inside = &rest[start + 1..end];
        assert!(!inside.contains('<'), "{name}: a tag within a tag: {inside}");
        let (ends, inside) = inside.strip_prefix('/').map_or((false, inside), |inside| (true, inside));
        let (empty, inside) = inside.strip_suffix('/').map_or((false, inside), |inside| (true, inside));
        let (own, mut left) = inside.split_once(' ').unwrap_or((inside, ""));
        assert!(own.chars().all(|c| c.is_ascii_alphanumeric()) && !own.is_empty(), "{name}: no tag: <{inside}>");
        let mut attributes = Vec::new();
        while !left.trim().is_empty() {
            let (key, value) = left.trim_start().split_once("=\"").unwrap_or_else(|| panic!("{name}: <{inside}>"));
            let (value, more) = value.split_once('"').unwrap_or_else(|| panic!("{name}: <{inside}>"));
            words(name, value);
            attributes.push((key.to_owned(), value.to_owned()));
            left = more;
        }
        tags.push(Tag { name: own.to_owned(), attributes, ends, empty });
        rest = &rest[end + 1..];
    }
    words(name, rest);
    tags
}

/// Text between tags: only known entities, no characters that are forbidden.
fn words(name: &str, text: &str) {
    // A style sheet may have such marks: it is known by its braces.
    assert!(!text.contains('>') || text.contains("@page"), "{name}: a stray mark in {text}");
    for part in text.split('&').skip(1) {
        let entity = part.split(';').next().unwrap_or_default();
        assert!(["amp", "lt", "gt", "quot", "#39"].contains(&entity), "{name}: &{part}");
    }
    assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{name}: a control character in {text:?}");
}

/// Every paper of the demo and of the hostile project.
fn every_paper() -> Vec<(&'static str, String)> {
    [demo(), hostile()]
        .iter()
        .flat_map(|files| {
            let (project, plan) = planned(files);
            papers(&project, &plan)
        })
        .collect()
}

#[test]
fn every_paper_is_well_formed() {
    for (name, text) in every_paper() {
        let mut open: Vec<String> = Vec::new();
        for tag in tags(name, &text) {
            match (tag.ends, tag.empty || tag.name == "meta") {
                (true, _) => assert_eq!(open.pop().as_deref(), Some(tag.name.as_str()), "{name}: elements cross"),
                (false, true) => {}
                (false, false) => open.push(tag.name),
            }
        }
        assert!(open.is_empty(), "{name}: left open: {open:?}");
    }
}

#[test]
fn names_of_elements_are_given_once_and_every_reference_leads_to_one() {
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
            assert!(known.contains(&id.to_owned()) || !text.contains("<svg"), "{name}: no such pattern: {to}");
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
fn what_a_person_typed_is_shown_and_never_run() {
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
        // The stock's first row of a vessel carries what the others leave blank.
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
