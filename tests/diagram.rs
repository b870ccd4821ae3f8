//! The drawing of a book: whole, well formed, and the same every time.

use rules::book::diagram::svg;
use rules::book::load::load;
use rules::book::shipped;
use rules::book::tree::{Choice, Target, Tree};
use std::path::Path;
use std::process::Command;

fn saltmarsh() -> rules::book::Book {
    load("saltmarsh", &shipped::sources("saltmarsh").expect("it ships")).expect("it is sound")
}

/// What is wrong with a text as XML, by the grammar of elements, attributes and text alone.
fn malformed(xml: &str) -> Option<String> {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = xml;
    while let Some(start) = rest.find('<') {
        let (text, tag) = rest.split_at(start);
        let Some((tag, behind)) = tag[1..].split_once('>') else { return Some(format!("<{tag}")) };
        let plain = text.replace("&lt;", "").replace("&gt;", "").replace("&amp;", "").replace("&quot;", "");
        if plain.contains(['&', '>']) || tag.contains('<') || tag.matches('"').count() % 2 != 0 {
            return Some(format!("{text}<{tag}>"));
        }
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop() != Some(name) {
                return Some(format!("</{name}> closes nothing"));
            }
        } else if !tag.ends_with('/') {
            open.push(tag.split_whitespace().next()?);
        }
        rest = behind;
    }
    (!open.is_empty() || !rest.trim().is_empty()).then(|| format!("open: {open:?}"))
}

/// The words of a drawing, without the breaks between lines.
fn plain_text(svg: &str) -> String {
    let texts = svg.split("<text").skip(1).filter_map(|text| text.split_once('>')?.1.split_once("</text>"));
    let joined: Vec<&str> = texts.map(|(text, _)| text).collect();
    joined.join(" ").replace("&quot;", "\"").replace("&amp;", "&")
}

#[test]
fn every_step_and_every_finding_of_every_question_is_in_the_drawing() {
    let book = saltmarsh();
    for tree in &book.trees {
        let drawn = svg(&book.name, &[tree]);
        assert_eq!(malformed(&drawn), None, "{}", tree.id);
        let words = plain_text(&drawn);
        assert!(words.contains(&tree.title), "{}", tree.title);
        let steps = tree.steps.iter().flat_map(|step| [&step.name, &step.ask]);
        for name in steps.chain(tree.findings.iter().map(|finding| &finding.name)) {
            assert!(words.contains(name.as_str()), "{}: {name} in {words}", tree.id);
        }
        for choice in tree.steps.iter().flat_map(|step| &step.options) {
            assert!(words.contains(&choice.name), "{}: {}", tree.id, choice.name);
        }
        assert_eq!(drawn, svg(&book.name, &[tree]));
    }
    let all: Vec<&Tree> = book.trees.iter().collect();
    assert_eq!(malformed(&svg(&book.name, &all)), None);
}

#[test]
fn boxes_do_not_lie_on_one_another() {
    let book = saltmarsh();
    let figure = |tag: &str, name: &str| -> i64 {
        let (_, rest) = tag.split_once(&format!(" {name}=\"")).expect("it has the attribute");
        rest.split_once('"').expect("it is quoted").0.parse().expect("it is a whole number")
    };
    for tree in &book.trees {
        let drawn = svg(&book.name, &[tree]);
        let boxes: Vec<[i64; 4]> = drawn
            .split("<rect class")
            .skip(1)
            .map(|tag| ["x", "y", "width", "height"].map(|name| figure(tag, name)))
            .collect();
        assert_eq!(boxes.len(), tree.steps.len() + tree.findings.len(), "{}", tree.id);
        for (index, [x, y, width, height]) in boxes.iter().enumerate() {
            for [other_x, other_y, other_width, other_height] in &boxes[index + 1..] {
                let beside = x + width <= *other_x || other_x + other_width <= *x;
                let above = y + height <= *other_y || other_y + other_height <= *y;
                assert!(beside || above, "{}", tree.id);
            }
        }
    }
}

#[test]
fn shared_and_unreachable_steps_are_marked_and_signs_of_xml_are_plain_text() {
    let book = saltmarsh();
    let mut tree = book.tree("down-or-fumble").expect("it ships").clone();
    tree.title = "<Runner> & \"fumble\"".to_owned();
    let drawn = svg("a < b", &[&tree]);
    assert_eq!(malformed(&drawn), None);
    assert!(drawn.contains("shared: 2 ways lead here") && !drawn.contains("no answers lead here"));
    assert!(drawn.contains("&lt;Runner&gt; &amp; &quot;fumble&quot;"));
    let first = Target::Find(0);
    tree.steps[tree.start].options = vec![Choice { name: "yes".to_owned(), to: first }];
    assert!(svg("book", &[&tree]).contains("no answers lead here"));
}

#[test]
fn check_writes_the_drawing_of_one_question_and_knows_no_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("one.svg");
    let run = |tree: &str, file: &Path| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tellframe"));
        command.args(["check", "saltmarsh", "--tree", tree, "--diagram"]).arg(file);
        command.output().expect("it runs")
    };
    assert_eq!(run("clock", &file).status.code(), Some(0));
    let drawn = std::fs::read_to_string(&file).expect("it was written");
    let book = saltmarsh();
    assert_eq!(drawn, svg(&book.name, &[book.tree("clock").expect("it ships")]));
    let unknown = run("clocks", &folder.path().join("none.svg"));
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("did you mean `clock`?"));
}
