//! Pictures inside pages: goldens, no style or name of their own, and no text or number that breaks
//! them. `UPDATE_GOLDEN=1` writes the goldens anew.

mod invented;

use draw::{Width, both, contrast};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;

/// Every picture in both layouts, by name.
fn all() -> Vec<(&'static str, String)> {
    let maps = |width| draw::field_map(&invented::field(22.0), width);
    let (tests, test_words) = invented::tests();
    let (plan, plan_words) = invented::plan();
    let whiskers: Vec<String> = invented::whiskers().iter().map(draw::whisker).collect();
    let calls: Vec<String> = invented::calls().iter().map(draw::call_at).collect();
    let wagons: Vec<String> = invented::wagons().iter().map(draw::wagon).collect();
    let waiting = draw::waiting(2, 3, "3 wait for the book");
    let swatches = [
        draw::Texture::Solid,
        draw::Texture::Hatch,
        draw::Texture::Dots,
        draw::Texture::Plain,
        draw::Texture::Gap,
    ]
    .map(draw::swatch)
    .concat();
    let states = [
        draw::HourState::Wet,
        draw::HourState::Tough,
        draw::HourState::Fit,
        draw::HourState::TooDry,
        draw::HourState::Stopped,
    ]
    .map(draw::state_swatch)
    .concat();
    vec![
        (
            "hours-forecast",
            both(|w| draw::hours(&invented::forecast(), w)),
        ),
        ("hours-past", both(|w| draw::hours(&invented::past(), w))),
        ("account", both(|w| draw::account(&invented::account(), w))),
        (
            "account-over",
            both(|w| draw::account(&invented::account_over(), w)),
        ),
        (
            "in-a-row",
            [whiskers.concat(), draw::tally(8, "8 in 10"), calls.concat()].concat(),
        ),
        (
            "wagons",
            [
                wagons.concat(),
                waiting,
                swatches,
                states,
                draw::bracket_swatch(),
            ]
            .concat(),
        ),
        ("map-values", both(|w| maps(w).values)),
        ("map-doubt", both(|w| maps(w).doubt)),
        ("days", both(|w| draw::days(&invented::samples(), w))),
        ("load-pad", draw::load_pad(&invented::pad())),
        (
            "page-tests",
            both(|w| draw::slip_tests_page(&tests, &test_words, w)),
        ),
        (
            "page-plan",
            both(|w| draw::points_plan_page(&plan, &plan_words, w)),
        ),
        (
            "page-steps",
            both(|w| draw::settlement_steps_page(&invented::steps(), w)),
        ),
    ]
}

#[test]
fn pictures_are_as_they_were() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/pages");
    for (name, drawn) in all() {
        // an element a line, so that a change can be read
        let drawn = drawn.replace("><", ">\n<") + "\n";
        let path = folder.join(format!("{name}.svg"));
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::create_dir_all(&folder).expect("the golden folder can be made");
            std::fs::write(&path, &drawn).expect("the golden folder can be written");
        }
        let golden = std::fs::read_to_string(&path).expect("the golden picture is there");
        assert!(
            golden == drawn,
            "{name} is drawn differently; look at it, then UPDATE_GOLDEN=1"
        );
    }
}

/// Every tag's name and attributes.
fn tags(markup: &str) -> Vec<(&str, Vec<(&str, &str)>)> {
    let mut found = Vec::new();
    for piece in markup.split('<').skip(1) {
        let (tag, _) = piece.split_once('>').expect("a tag ends");
        let tag = tag.trim_end_matches('/');
        let (name, mut rest) = tag.split_once(' ').unwrap_or((tag, ""));
        let mut attributes = Vec::new();
        while let Some((key, after)) = rest.split_once("=\"") {
            let (value, next) = after.split_once('"').expect("a value ends");
            attributes.push((key.trim(), value));
            rest = next;
        }
        assert!(rest.trim().is_empty(), "{tag}");
        if !name.starts_with('/') {
            found.push((name, attributes));
        }
    }
    found
}

/// What a page with `style-src 'self'; script-src 'self'` would refuse, and what two pictures on one
/// page would both claim.
#[test]
fn nothing_that_a_strict_page_refuses() {
    for (picture, drawn) in all() {
        for (name, attributes) in tags(&drawn) {
            let known = [
                "svg", "title", "desc", "g", "line", "rect", "circle", "path", "text", "tspan",
                "div",
            ];
            assert!(known.contains(&name), "{picture}: {name}");
            for (key, value) in attributes {
                let refused = key == "style" || key == "id" || key.starts_with("on");
                assert!(
                    !refused && !value.contains("url("),
                    "{picture}: {key}={value}"
                );
                assert!(!key.contains("href"), "{picture}: {key}");
            }
        }
    }
}

/// The names of classes in the style of pages.
fn styled() -> BTreeSet<&'static str> {
    let mut names = BTreeSet::new();
    // a full stop in a comment is no class
    let bare = draw::PAGE_CSS
        .split("*/")
        .map(|part| part.split("/*").next());
    for rule in bare.flatten().flat_map(|part| part.split('}')) {
        let selectors = rule
            .rsplit_once('{')
            .map_or(rule, |(selectors, _)| selectors);
        for piece in selectors.split('.').skip(1) {
            let end = piece
                .find(|c: char| !(c.is_ascii_alphanumeric() || c == '-'))
                .unwrap_or(piece.len());
            names.insert(&piece[..end]);
        }
    }
    names
}

#[test]
fn every_class_is_in_the_style_and_every_style_is_used() {
    let styled = styled();
    let mut used = BTreeSet::new();
    for (picture, drawn) in all() {
        for (_, attributes) in tags(&drawn) {
            let classes = attributes.iter().filter(|one| one.0 == "class");
            for class in classes.flat_map(|one| one.1.split_whitespace()) {
                let kind = ["hours", "account", "days", "whisker", "call-at"].contains(&class);
                assert!(kind || styled.contains(class), "{picture}: {class}");
                used.insert(class.to_owned());
            }
        }
    }
    let idle: Vec<_> = styled
        .iter()
        .filter(|name| !used.contains(**name))
        .collect();
    assert!(idle.is_empty(), "{idle:?}");
}

#[test]
fn the_style_takes_its_colors_from_the_page() {
    let known = [
        "--paper", "--ink", "--soft", "--rule", "--hair", "--pencil", "--serif", "--sans",
    ];
    for piece in draw::PAGE_CSS.split("var(").skip(1) {
        let name = piece.split(')').next().expect("a name");
        assert!(known.contains(&name), "{name}");
    }
    assert!(draw::PAGE_CSS.contains(":root[data-theme=sun]"));
}

/// Every picture says what it shows; samples of textures stand beside their word and say nothing.
#[test]
fn every_picture_has_words() {
    for (picture, drawn) in all() {
        for whole in drawn.split("<svg class=\"draw ").skip(1) {
            let sample = whole.starts_with("swatch");
            let (tag, body) = whole.split_once('>').expect("a tag ends");
            assert_eq!(tag.contains("aria-hidden=\"true\""), sample, "{picture}");
            assert_eq!(tag.contains("role=\"img\""), !sample, "{picture}");
            if !sample {
                let title = body.strip_prefix("<title>").expect("a title comes first");
                assert!(!title.starts_with('<'), "{picture}");
            }
        }
    }
}

/// The ring on the map is white under black: on every color of the ramp one of the two stands out
/// by 3 to 1 (WCAG 2.2, 1.4.11).
#[test]
fn the_ring_is_seen_on_every_color_of_the_ramp() {
    for color in draw::RAMP {
        let best = contrast("#ffffff", color).max(contrast("#000000", color));
        assert!(best >= 4.5, "{color}: {best}");
    }
}

/// In every light the two ends of a picture's contrast, reversed words and violet lines, hold.
#[test]
fn words_on_bars_and_violet_lines_are_seen_in_every_light() {
    for theme in [draw::LIGHT, draw::DARK, draw::SUN] {
        assert!(contrast(theme.paper, theme.ink) >= 7.0);
        assert!(contrast(theme.pencil, theme.paper) >= 7.0);
        // a rule or the axis of a whisker is no decoration
        assert!(contrast(theme.rule, theme.paper) >= 3.0);
    }
}

#[test]
fn a_state_stands_higher_the_nearer_it_is_to_fit() {
    let drawn = draw::hours(&invented::forecast(), Width::Page);
    let ink: Vec<f64> = tags(&drawn)
        .into_iter()
        .filter(|(name, attributes)| *name == "rect" && attributes.contains(&("class", "ink")))
        .filter_map(|(_, attributes)| {
            let high = attributes.iter().find(|one| one.0 == "height")?;
            high.1.parse().ok()
        })
        .collect();
    // two stretches of Willow Bench, one each of Long Eighty and Orchard Strip
    assert_eq!(ink, [34.0; 4]);
    assert_eq!(drawn.matches("class=\"dots\"").count(), 3);
    assert_eq!(drawn.matches("class=\"upright\"").count(), 1);
}

#[test]
fn the_bracket_of_an_account_stands_about_the_end_and_is_never_cut() {
    for range in [1.0, 26.0, 300.0, 5_000.0] {
        let mut account = invented::account();
        account.gap_range = range;
        let drawn = draw::account(&account, Width::Page);
        let bracket = tags(&drawn)
            .into_iter()
            .find(|(name, attributes)| *name == "line" && attributes.contains(&("class", "line")))
            .expect("a bracket");
        let end = |key: &str| -> f64 {
            let (_, value) = bracket.1.iter().find(|one| one.0 == key).expect("an end");
            value.trim_end_matches('%').parse().expect("a share")
        };
        let (low, high) = (end("x1"), end("x2"));
        assert!(low >= 0.0 && high <= 100.0, "{range}: {low} {high}");
        if range < 1_079.0 {
            let most = 1_245.0_f64.max(1_079.0 + range);
            let (wide, middle) = (2.0 * range / most * 100.0, 1_079.0 / most * 100.0);
            assert!((high - low - wide).abs() < 0.02, "{range}");
            assert!((f64::midpoint(low, high) - middle).abs() < 0.02, "{range}");
        }
    }
}

#[test]
fn a_tally_has_ten_strokes() {
    for of_ten in 0..=12_u8 {
        let drawn = draw::tally(of_ten, "so many in ten");
        let tall = drawn.matches("class=\"ink\"").count();
        assert_eq!(tall, usize::from(of_ten.min(10)));
        assert_eq!(tall + drawn.matches("class=\"edge\"").count(), 10);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn no_text_breaks_out(text in "(\\PC|[<>&\"'/]|</svg>|<script>|\u{0}){1,40}") {
        let mut hours = invented::forecast();
        hours.finding.title.clone_from(&text);
        hours.corner.clone_from(&text);
        hours.rows[0].name.clone_from(&text);
        hours.rows[0].detail.clone_from(&text);
        hours.rows[0].spans[1].word.clone_from(&text);
        hours.rows[3].spans[0].hand.clone_from(&text);
        hours.rows[1].reasons[0].text.clone_from(&text);
        let mut pad = invented::pad();
        pad.sub.clone_from(&text);
        pad.caution.0.clone_from(&text);
        pad.columns[0].head.clone_from(&text);
        let (mut tests, mut words) = invented::tests();
        tests.marks[7].name.clone_from(&text);
        words.shows.clone_from(&text);
        let mut field = invented::field(22.0);
        field.bar.text.clone_from(&text);
        for drawn in [
            both(|w| draw::hours(&hours, w)),
            draw::load_pad(&pad),
            both(|w| draw::slip_tests_page(&tests, &words, w)),
            draw::field_map(&field, Width::Phone).values,
        ] {
            let known = ["svg", "title", "desc", "g", "line", "rect", "circle", "path", "text", "tspan", "div"];
            let opened = tags(&drawn);
            prop_assert!(opened.iter().all(|(name, _)| known.contains(name)));
            let closed = drawn.matches("</").count() + drawn.matches("/>").count();
            prop_assert_eq!(opened.len(), closed);
        }
    }

    #[test]
    fn no_number_makes_nonsense(value in any::<f64>(), other in any::<f64>()) {
        let mut hours = invented::forecast();
        hours.rows[0].spans[2].from = value;
        hours.rows[0].spans[3].to = other;
        hours.rows[1].changes[0] = (value, other);
        hours.rows[1].reasons[0].at = other;
        hours.now = Some(invented::tick(value, "now"));
        let mut wide = invented::past();
        wide.span = (value, other);
        let mut account = invented::account();
        account.upper[0].value = value;
        account.gap = other;
        account.gap_range = value;
        let mut field = invented::field(22.0);
        field.cells[40].value = value;
        field.cells[41].doubt = other;
        field.cells[42].east_m = value;
        field.outline[0][3] = (value, other);
        field.range = (other, value);
        let mut days = invented::samples();
        days.samples[0].middle = value;
        days.axis = (value, other);
        let whisker = draw::Whisker { title: "x".into(), low: value, middle: other, high: value, axis: (other, value), line: Some(value) };
        let wagon = draw::Wagon { title: "x".into(), level: Some(value), covered: None };
        let maps = draw::field_map(&field, Width::Page);
        for drawn in [
            both(|w| draw::hours(&hours, w)),
            both(|w| draw::hours(&wide, w)),
            draw::account(&account, Width::Page),
            draw::days(&days, Width::Page),
            draw::whisker(&whisker),
            draw::wagon(&wagon),
            maps.values,
            maps.doubt,
        ] {
            prop_assert!(!drawn.contains("NaN") && !drawn.contains("inf"));
            // a size below nothing is an error to a browser
            prop_assert!(!drawn.contains(" width=\"-") && !drawn.contains(" height=\"-") && !drawn.contains(" r=\"-"));
        }
    }
}
