//! Rust text laid bare: comments and literals blanked, tests cut off.
//!
//! Not a parser. It knows enough of the language's tokens to tell code from what is said about
//! code, keeps every line where it was, and so lets a check look for words.

/// The text with comments and the insides of string and character literals turned to spaces.
pub(super) fn bare(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let rest = &bytes[at..];
        let length = match rest {
            [b'/', b'/', ..] => rest
                .iter()
                .position(|byte| *byte == b'\n')
                .unwrap_or(rest.len()),
            [b'/', b'*', ..] => block_comment(rest),
            [b'"', ..] => quoted(rest, 0),
            [b'r' | b'b' | b'c', ..] if !follows_word(bytes, at) => literal_with_prefix(rest),
            [b'\'', ..] => character(rest),
            _ => 0,
        };
        if length == 0 {
            out.push(bytes[at]);
            at += 1;
        } else {
            out.extend(
                bytes[at..at + length]
                    .iter()
                    .map(|byte| if *byte == b'\n' { b'\n' } else { b' ' }),
            );
            at += length;
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

/// The bare text up to the first `#[cfg(test)]` that opens a module at the file's foot.
pub(super) fn without_tests(bare: &str) -> &str {
    let mut from = 0;
    while let Some(found) = bare[from..].find("#[cfg(test)]") {
        let start = from + found;
        let after = bare[start + "#[cfg(test)]".len()..].trim_start();
        if after.starts_with("mod ")
            && after
                .find('{')
                .is_some_and(|brace| !after[..brace].contains(';'))
        {
            return &bare[..start];
        }
        from = start + 1;
    }
    bare
}

/// Whether a file is test or example code altogether.
pub(super) fn is_test(path: &str) -> bool {
    ["/tests/", "/examples/", "/benches/"]
        .iter()
        .any(|folder| path.contains(folder))
        || path.ends_with("/tests.rs")
}

/// Lines (from 1) on which `word` stands as a whole path or word.
pub(super) fn lines_with(bare: &str, word: &str) -> Vec<usize> {
    bare.lines()
        .enumerate()
        .filter(|(_, line)| has_word(line, word))
        .map(|(index, _)| index + 1)
        .collect()
}

/// Whether `line` holds `word` with no letter, digit or underscore against its ends.
pub(super) fn has_word(line: &str, word: &str) -> bool {
    let part = |character: char| character.is_alphanumeric() || character == '_';
    line.match_indices(word).any(|(start, _)| {
        let before = line[..start].chars().next_back();
        let after = line[start + word.len()..].chars().next();
        let open_start = !word.starts_with(part) || !before.is_some_and(part);
        let open_end = !word.ends_with(part) || !after.is_some_and(part);
        open_start && open_end
    })
}

fn follows_word(bytes: &[u8], at: usize) -> bool {
    at > 0 && (bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'_')
}

/// Length of a block comment, nested ones included.
fn block_comment(rest: &[u8]) -> usize {
    let (mut depth, mut at) = (0usize, 0);
    while at < rest.len() {
        match &rest[at..] {
            [b'/', b'*', ..] => (depth, at) = (depth + 1, at + 2),
            [b'*', b'/', ..] => {
                (depth, at) = (depth - 1, at + 2);
                if depth == 0 {
                    return at;
                }
            }
            _ => at += 1,
        }
    }
    at
}

/// Length of a string that starts at `start`'s quote, escapes included.
fn quoted(rest: &[u8], start: usize) -> usize {
    let mut at = start + 1;
    while at < rest.len() {
        match rest[at] {
            b'\\' => at += 2,
            b'"' => return at + 1,
            _ => at += 1,
        }
    }
    rest.len()
}

/// Length of `r"..."`, `r#"..."#`, `b"..."`, `br#"..."#` and their kin; 0 for a mere word.
fn literal_with_prefix(rest: &[u8]) -> usize {
    let letters = rest
        .iter()
        .take_while(|byte| matches!(byte, b'r' | b'b' | b'c'))
        .count();
    let raw = rest[..letters].contains(&b'r');
    let hashes = rest[letters..]
        .iter()
        .take_while(|byte| **byte == b'#')
        .count();
    let quote = letters + hashes;
    if letters > 2 || rest.get(quote) != Some(&b'"') || (hashes > 0 && !raw) {
        return 0;
    }
    if !raw {
        return quoted(rest, quote);
    }
    let mut end = vec![b'"'];
    end.extend(std::iter::repeat_n(b'#', hashes));
    let inside = &rest[quote + 1..];
    let close = inside.windows(end.len()).position(|window| window == end);
    close.map_or(rest.len(), |close| quote + 1 + close + end.len())
}

/// Length of a character literal; 0 for a lifetime.
fn character(rest: &[u8]) -> usize {
    if rest.get(1) == Some(&b'\\') {
        return rest
            .iter()
            .skip(3)
            .position(|byte| *byte == b'\'')
            .map_or(0, |close| close + 4);
    }
    let longest = rest.len().min(6); // one character of at most four bytes, and its quotes
    rest[..longest]
        .iter()
        .skip(2)
        .position(|byte| *byte == b'\'')
        .map_or(0, |close| {
            let length = close + 3;
            let one = std::str::from_utf8(&rest[1..length - 1])
                .is_ok_and(|inside| inside.chars().count() == 1);
            if one { length } else { 0 }
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn blanks_what_is_said_and_keeps_what_is_done() {
        let text = "let a = \"std::fs // \\\" no\"; // std::fs\n/* std::fs /* */ \n */ let b = r#\"std::fs \" \"#;\nstd::fs::read(b'\\'', '\\u{7f}', 'x', &'static str)";
        let bare = bare(text);
        assert_eq!(lines_with(&bare, "std::fs"), [4]);
        assert_eq!(bare.lines().count(), text.lines().count());
        assert!(bare.contains("'static str"));
        assert!(bare.contains("let b ="));
    }

    #[test]
    fn tells_a_word_from_a_part_of_one() {
        assert!(has_word("use std::env;", "std::env"));
        assert!(!has_word("use std::environment;", "std::env"));
        assert!(has_word("println!(x)", "println!"));
        assert!(!has_word("eprintln!(x)", "println!"));
    }

    #[test]
    fn cuts_off_the_tests_at_the_foot_only() {
        let text = "#[cfg(test)]\nuse x;\nfn a() {}\n#[cfg(test)]\nmod tests {\n fn b() {}\n}\n";
        assert!(without_tests(text).contains("fn a()"));
        assert!(!without_tests(text).contains("fn b()"));
        assert_eq!(
            without_tests("#[cfg(test)]\nmod tests;\nfn a() {}\n"),
            "#[cfg(test)]\nmod tests;\nfn a() {}\n"
        );
    }

    proptest! {
        #[test]
        fn never_panics_and_keeps_lines(text in "[a-z\"'/*#\\\\rb\n é]{0,80}") {
            prop_assert_eq!(bare(&text).matches('\n').count(), text.matches('\n').count());
        }
    }
}
