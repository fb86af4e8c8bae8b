//! Facts: every published number has a unit, a source and a tag.

use super::Finding;
use super::rules::Rules;
use super::tree::Tree;
use toml::Value;

/// Where the published numbers stand.
const FOLDER: &str = "crates/facts/data/";

/// How a number may have been come by.
const TAGS: &[&str] = &["READ", "READ2", "CALC", "MEM", "MEM+", "PRACTICE"];

/// Keys that make a table a fact.
const FACTS: &[&str] = &["value", "values", "text"];

/// Every fact of every data file.
pub(super) fn check(tree: &Tree, _: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, text) in tree
        .ending(".toml")
        .filter(|(path, _)| path.starts_with(FOLDER))
    {
        match text.parse::<toml::Table>() {
            Ok(table) => enter(
                path,
                "",
                &Value::Table(table),
                Inherited::default(),
                &mut findings,
            ),
            Err(error) => findings.push(Finding::about(
                path,
                format!("is not TOML: {}", error.message()),
            )),
        }
    }
    findings
}

/// What a table says for those inside it.
#[derive(Debug, Default, Clone, Copy)]
struct Inherited {
    source: bool,
    tag: bool,
}

fn enter(path: &str, name: &str, value: &Value, above: Inherited, findings: &mut Vec<Finding>) {
    match value {
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                enter(path, &format!("{name}[{index}]"), item, above, findings);
            }
        }
        Value::Table(table) => {
            let said = |key: &str| {
                table
                    .get(key)
                    .and_then(Value::as_str)
                    .is_some_and(|text| !text.trim().is_empty())
            };
            let here = Inherited {
                source: above.source || said("source"),
                tag: above.tag || said("tag"),
            };
            let mut complain =
                |what: &str| findings.push(Finding::about(path, format!("{name}: {what}")));
            if FACTS.iter().any(|key| table.contains_key(*key)) {
                if !here.source {
                    complain(
                        "has no source; name the publication, \"from memory of ...\", or \"common practice, no source\"",
                    );
                }
                if !here.tag {
                    complain("has no tag that says how it was come by");
                }
                if !table.contains_key("text") && !said("unit") {
                    complain("has no unit (\"1\" for a pure number)");
                }
            }
            if let Some(tag) = table
                .get("tag")
                .and_then(Value::as_str)
                .filter(|tag| !TAGS.contains(tag))
            {
                complain(&format!("the tag `{tag}` is none of {}", TAGS.join(", ")));
            }
            for (key, inner) in table {
                let name = if name.is_empty() {
                    key.clone()
                } else {
                    format!("{name}.{key}")
                };
                enter(path, &name, inner, here, findings);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(text: &str) -> Vec<String> {
        let all = check(
            &Tree::of(&[("crates/facts/data/crops.toml", text)]),
            &Rules::small(),
        );
        all.into_iter().map(|finding| finding.what).collect()
    }

    #[test]
    fn is_content_with_a_sourced_fact() {
        assert!(findings("[corn]\nbushel = { value = 56, unit = \"lb/bu\", source = \"a handbook\", tag = \"READ\" }\n").is_empty());
        assert!(
            findings(
                "[a]\nsource = \"a rule\"\nrow = [{ values = [1], unit = \"%\", tag = \"MEM\" }]\n"
            )
            .is_empty()
        );
    }

    #[test]
    fn misses_sources_units_and_tags() {
        assert!(
            findings("[corn]\nbushel = { value = 56, unit = \"lb/bu\", tag = \"READ\" }\n")[0]
                .contains("corn.bushel: has no source")
        );
        assert!(findings("[corn]\nbushel = { value = 56, unit = \"lb/bu\", tag = \"READ\", source = \" \" }\n").len() == 1);
        assert!(
            findings("[[a]]\nrow = [{ values = [1], source = \"s\", tag = \"MEM\" }]\n")[0]
                .contains("a[0].row[0]: has no unit")
        );
        assert!(
            findings("[a]\ntext = \"x\"\nsource = \"s\"\ntag = \"HEARD\"\n")[0]
                .contains("`HEARD` is none of")
        );
        assert!(findings("[a]\ntext = \"x\"\nsource = \"s\"\n")[0].contains("has no tag"));
        assert!(findings("[a\n")[0].contains("is not TOML"));
    }
}
