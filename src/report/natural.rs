//! Natural order of texts with numbers, as shelves are numbered: `Bay 2` before `Bay 10`.

/// A run of digits or of other characters; digits come first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum DigitRun {
    /// The number of digits without leading zeros, then the digits: compares as a number of any length.
    Number(usize, String),
    Words(String),
}

/// A sort key in which runs of digits compare as numbers; equal only for equal texts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Natural(Vec<DigitRun>, String);

/// The sort key of a text.
pub fn natural(text: &str) -> Natural {
    let mut runs: Vec<DigitRun> = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let digits = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digits).unwrap_or(rest.len());
        let (run, after) = rest.split_at(end);
        runs.push(if digits {
            let number = run.trim_start_matches('0');
            DigitRun::Number(number.len(), number.to_owned())
        } else {
            DigitRun::Words(run.to_owned())
        });
        rest = after;
    }
    Natural(runs, text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::natural;

    #[test]
    fn numbers_in_a_text_count_as_numbers() {
        let sorted = [
            "",
            "2A-01",
            "2A-2",
            "2A-10",
            "2B-01",
            "10A-01",
            "Bay",
            "Bay 1",
            "Bay 01",
            "Bay 2",
            "Bay 10",
            "Bay 10a",
            "freezer 1",
        ];
        let mut turned = sorted;
        turned.reverse();
        turned.sort_by_key(|text| natural(text));
        // Equal as numbers, "01" is before "1" as text.
        let mut wanted = sorted;
        wanted.swap(7, 8);
        assert_eq!(turned, wanted);
        let long = ["9".repeat(40), format!("1{}", "0".repeat(40))];
        assert!(natural(&long[0]) < natural(&long[1]));
    }
}
