//! A screen of 80 characters: columns are dropped or wrapped, words are never broken.

use std::collections::BTreeSet;

use super::Bench;

fn words(text: &str) -> BTreeSet<&str> {
    text.split_whitespace().collect()
}

#[test]
fn at_80_characters_no_line_is_longer_and_no_word_is_broken() {
    let bench = Bench::new();
    for command in ["plan collection", "why T-01 T-03 --in collection", "check collection", "rules closures"] {
        let wide = bench.screen(command);
        let narrow = bench.screen_of(command, Some("80"));
        // Tables must fit; the terminal wraps a sentence on a line of its own.
        let sentence = |line: &&str| line.starts_with("Next: ") || line.contains(", to keep ") || line.contains("; ");
        for line in narrow.lines().filter(|line| !sentence(line)) {
            assert!(line.chars().count() <= 80, "{command}: {} characters: {line}", line.chars().count());
        }
        let (all, shown) = (words(&wide), words(&narrow));
        let left_out = "(not shown on a screen this narrow: , )";
        let broken: Vec<_> = shown.difference(&all).filter(|word| !left_out.contains(word.trim_matches(','))).collect();
        // Names of omitted columns stand in the sentence that lists them.
        let broken: Vec<_> = broken.into_iter().filter(|word| !wide.contains(word.trim_matches([',', ')']))).collect();
        assert!(broken.is_empty(), "{command}: {broken:?}");
    }
}

#[test]
fn omitted_columns_are_named_and_the_headline_ends_the_list() {
    let narrow = Bench::new().screen_of("plan collection", Some("80"));
    assert!(narrow.contains("(not shown on a screen this narrow: "), "{narrow}");
    let end = narrow.split("In short: ").nth(1).expect("the headline again");
    assert!(end.contains("4 of 10 lots placed") && end.contains("Next: "), "{end}");
    // Where the width is unknown nothing is omitted.
    assert!(!Bench::new().screen("plan collection").contains("not shown on a screen"));
}

/// The parts of a text between blanks and `|`.
fn pieces(text: &str) -> BTreeSet<&str> {
    text.split(|c: char| c.is_whitespace() || c == '|').collect()
}

#[test]
fn every_table_keeps_to_80_and_to_60_characters() {
    let bench = Bench::new();
    let tables = ["fluids", "materials", "closures", "compatibility", "neck-finishes", "transfers", "hazards"];
    let tables = tables.map(|table| format!("rules {table}"));
    let others = [
        "plan collection",
        "plan collection --budget 5000",
        "why T-01 T-03 T-04 T-09 --in collection",
        "curve collection",
        "curve collection --of kinds",
        "curve collection --of suppliers",
        "sizes collection",
        "sizes collection --keep 2",
        "sizes collection --new 2",
        "check collection",
        "rules",
        "schema",
        "tank --length 900 --width 300 --height 300 --fluid formalin-10",
        "mix --to faa --litres 5",
        "mix --top-up --in ethanol-70 --from ethanol-96",
    ];
    for command in others.iter().copied().chain(tables.iter().map(String::as_str)) {
        let wide = bench.screen(command);
        let wide_pieces = pieces(&wide);
        for columns in [80, 60] {
            let narrow = bench.screen_of(command, Some(&columns.to_string()));
            let typed = format!("$ rehouse {command}");
            for line in narrow.lines().filter(|line| *line != typed) {
                assert!(line.chars().count() <= columns, "{command} at {columns}: {line}");
            }
            // An omitted column is named in a sentence, with a comma or bracket after it.
            let named = |piece: &str| wide.contains(piece.trim_matches([',', ')', '(', ':']));
            let left_out = "(not shown on a screen this narrow:";
            let broken: Vec<&str> = (pieces(&narrow).difference(&wide_pieces).copied())
                .filter(|piece| !named(piece) && !left_out.contains(piece))
                .collect();
            assert!(broken.is_empty(), "{command} at {columns}: {broken:?}");
        }
    }
}

#[test]
fn hazards_keep_their_names_and_tanks_their_notes_and_sizes() {
    let bench = Bench::new();
    let hazards = bench.screen_of("rules hazards", Some("80"));
    let table = hazards.split("Columns").next().unwrap_or_default();
    for name in ["picric", "ether", "mercury", "asbestos"] {
        assert!(table.lines().any(|line| line.trim_start().starts_with(name)), "{name}: {table}");
    }
    let plan = bench.screen_of("plan collection", Some("80"));
    let tanks = plan.split("Custom tanks").nth(1).expect("tanks").split("\n\n").next().unwrap_or_default();
    let head = tanks.lines().nth(1).unwrap_or_default();
    assert!(head.contains("note") && head.contains("clear inside, mm"), "{tanks}");
    let sizes = |line: &str| line.split(" × ").count() == 3;
    assert!(tanks.lines().skip(2).any(sizes), "{tanks}");
}
