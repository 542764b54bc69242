//! Changes to inputs: of bytes, words, numbers and lines, and of pieces of other inputs put together.

/// Numbers that follow from the first (G. Steele, D. Lea, C. Flood, OOPSLA 2014, SplitMix).
pub struct Random(pub u64);

impl Random {
    /// The next.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// Below `n`; 0 where that is 0.
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { (self.next() >> 11) as usize % n }
    }

    /// One of a list that is not empty.
    pub fn of<'a>(&mut self, items: &'a [Vec<u8>]) -> &'a [u8] {
        &items[self.below(items.len())]
    }
}

/// An input with one to some changes. `other` is another one, `words` are what may stand in inputs of the kind.
pub fn mutated(random: &mut Random, input: &[u8], other: &[u8], words: &[Vec<u8>], most_bytes: usize) -> Vec<u8> {
    let mut made = input.to_vec();
    let changes = 1 << random.below(4);
    for _ in 0..changes {
        change(random, &mut made, other, words);
    }
    made.truncate(most_bytes);
    made
}

fn change(random: &mut Random, text: &mut Vec<u8>, other: &[u8], words: &[Vec<u8>]) {
    match random.below(20) {
        0 => {
            let at = random.below(text.len());
            if let Some(byte) = text.get_mut(at) {
                *byte ^= 1 << random.below(8);
            }
        }
        1 => {
            let at = random.below(text.len() + 1);
            text.insert(at, (random.next() >> 13) as u8);
        }
        2 => {
            let at = random.below(text.len() + 1);
            put(text, at..at, random.of(words));
        }
        3..=5 => {
            let at = word_at(text, random.below(text.len()));
            put(text, at, random.of(words));
        }
        6 | 7 => {
            let from = word_at(text, random.below(text.len()));
            let word = text[from].to_vec();
            let at = word_at(text, random.below(text.len()));
            put(text, at, &word);
        }
        8 => {
            let word = other[word_at(other, random.below(other.len()))].to_vec();
            let at = word_at(text, random.below(text.len()));
            put(text, at, &word);
        }
        9..=11 => number(random, text),
        12 => {
            let at = some(random, text, 64);
            put(text, at, b"");
        }
        13 => {
            let at = some(random, text, 64);
            let copy = text[at.clone()].repeat(1 + random.below(3));
            put(text, at.end..at.end, &copy);
        }
        14 => {
            let at = word_at(text, random.below(text.len()));
            // A word that was repeated before is not made longer again and again.
            let times = (1 << random.below(9)).min(4096 / at.len().max(1));
            let copy = text[at.clone()].repeat(times);
            put(text, at, &copy);
        }
        15 => put(text, line_at(text, random.below(text.len())), b""),
        16 => {
            let line = text[line_at(text, random.below(text.len()))].to_vec();
            let at = line_at(text, random.below(text.len())).start;
            put(text, at..at, &line);
        }
        17 => {
            let line = other[line_at(other, random.below(other.len()))].to_vec();
            let at = line_at(text, random.below(text.len())).start;
            put(text, at..at, &line);
        }
        18 => {
            let tail = &other[random.below(other.len())..];
            text.truncate(random.below(text.len()));
            text.extend_from_slice(tail);
        }
        _ => {
            let at = word_at(text, random.below(text.len()));
            put(text, at, b"");
        }
    }
}

fn put(text: &mut Vec<u8>, at: std::ops::Range<usize>, with: &[u8]) {
    text.splice(at, with.iter().copied());
}

/// Up to so many bytes.
fn some(random: &mut Random, text: &[u8], most: usize) -> std::ops::Range<usize> {
    let start = random.below(text.len());
    let end = (start + random.below(most)).min(text.len());
    start..end
}

/// The word or number that a byte is in, or that byte alone.
fn word_at(text: &[u8], at: usize) -> std::ops::Range<usize> {
    let of_word = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.') || *byte >= 128;
    if !text.get(at).is_some_and(of_word) {
        return at..text.len().min(at + 1);
    }
    let start = text[..at].iter().rposition(|byte| !of_word(byte)).map_or(0, |before| before + 1);
    let end = text[at..].iter().position(|byte| !of_word(byte)).map_or(text.len(), |length| at + length);
    start..end
}

/// The line that a byte is in, with its end.
fn line_at(text: &[u8], at: usize) -> std::ops::Range<usize> {
    let at = at.min(text.len());
    let start = text[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |before| before + 1);
    let end = text[at..].iter().position(|byte| *byte == b'\n').map_or(text.len(), |length| at + length + 1);
    start..end
}

/// Changes a number nearby.
fn number(random: &mut Random, text: &mut Vec<u8>) {
    let from = random.below(text.len());
    let Some(start) = text[from..].iter().position(u8::is_ascii_digit).map(|ahead| from + ahead) else { return };
    let of_number = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
    let end = text[start..].iter().position(|byte| !of_number(byte)).map_or(text.len(), |length| start + length);
    let Some(value) = std::str::from_utf8(&text[start..end]).ok().and_then(|digits| digits.parse::<f64>().ok()) else {
        return;
    };
    let tiny = [0.001, 0.01, 0.1, 1.0][random.below(4)];
    let other = match random.below(12) {
        0 => value + 1.0,
        1 => value - 1.0,
        2 => value * 10.0,
        3 => value / 10.0,
        4 => value * 2.0,
        5 => value / 3.0,
        6 => -value,
        7 => 0.0,
        8 => value + tiny,
        9 => value - tiny,
        10 => value * 1000.0,
        _ => 10_f64.powi(random.below(20) as i32),
    };
    put(text, start..end, other.to_string().as_bytes());
}
