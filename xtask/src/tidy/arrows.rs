//! Arrows: a room imports only rooms of lower floors.

use super::rules::{PATH, Rules};
use super::tree::Tree;
use super::{Finding, manifest};

/// Every room has a floor, and every import points down.
pub(super) fn check(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    let members = manifest::members(tree);
    for member in &members {
        if member.room == "xtask" {
            continue; // the workshop stands beside the house and may enter every room
        }
        let Some(floor) = rules.floors.get(&member.room) else {
            let what = format!(
                "the room `{}` has no floor; give it one in {PATH} and ARCHITECTURE.md",
                member.room
            );
            findings.push(Finding::about(&member.path, what));
            continue;
        };
        let ceiling = rules.ceilings.get(&member.room);
        for (name, _) in &member.dependencies {
            if name == "xtask" {
                findings.push(Finding::about(
                    &member.path,
                    "no room imports the workshop (`xtask`)",
                ));
                continue;
            }
            let Some(below) = rules.floors.get(name) else {
                continue;
            };
            let what = match ceiling {
                Some(ceiling) if *below > ceiling.highest => {
                    let (room, highest, reason) = (&member.room, ceiling.highest, &ceiling.reason);
                    format!(
                        "`{room}` imports `{name}` of floor {below}, but only floors 0 to {highest}: {reason}"
                    )
                }
                _ if below >= floor => format!(
                    "`{}` (floor {floor}) imports `{name}` (floor {below}); arrows point down only: pass what it \
                     needs as an argument, or move the code",
                    member.room
                ),
                _ => continue,
            };
            findings.push(Finding::about(&member.path, what));
        }
    }
    for room in rules.floors.keys() {
        if !members.iter().any(|member| member.room == *room) {
            findings.push(Finding::about(
                PATH,
                format!("[floors] names `{room}`, which is no crate; drop it"),
            ));
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(room: &str, dependencies: &str) -> Vec<String> {
        let text = format!("[dependencies]\n{dependencies}");
        let tree = Tree::of(&[(&format!("crates/{room}/Cargo.toml"), &text)]);
        let all = check(&tree, &Rules::small());
        all.into_iter()
            .filter(|finding| finding.path != PATH)
            .map(|finding| finding.what)
            .collect()
    }

    #[test]
    fn lets_arrows_point_down() {
        assert!(
            findings(
                "grain",
                "quantity.workspace = true\nfacts.workspace = true\nserde = \"1\""
            )
            .is_empty()
        );
    }

    #[test]
    fn refuses_up_and_sideways() {
        assert!(
            findings("quantity", "grain.workspace = true")[0].contains("arrows point down only")
        );
        assert!(
            findings("facts", "numeric.workspace = true")[0]
                .contains("(floor 1) imports `numeric` (floor 1)")
        );
    }

    #[test]
    fn holds_a_room_to_its_lower_ceiling() {
        assert!(
            findings("worlds", "grain.workspace = true")[0]
                .contains("only floors 0 to 1: shares no kernel")
        );
        assert!(findings("worlds", "numeric.workspace = true").is_empty());
    }

    #[test]
    fn wants_a_floor_for_every_room_and_a_room_for_every_floor() {
        assert!(findings("attic", "")[0].contains("has no floor"));
        let all = check(&Tree::default(), &Rules::small());
        assert_eq!(all.len(), Rules::small().floors.len());
    }
}
