//! The questions of a book as one drawing: SVG that any browser shows, black on white, the same every time.
//!
//! A step is a box with its question, its look and its seconds; a finding is a rounded shape with what it does
//! to each call; an arrow carries its answers. Colour has no meaning.

pub mod layout;

use super::tree::{Looks, OnCall, Tree};
use layout::{Arrow, LABEL, Layout, Size, layout};

const WIDTH: i64 = 232;
/// Letters that fit into a box at 13 pixels.
const LETTERS: usize = 32;
/// The same for bold letters.
const BOLD: usize = 26;
const LINE: i64 = 17;
const MARGIN: i64 = 28;
const HEAD: i64 = 62;

struct BoxText {
    name: Vec<String>,
    rest: Vec<String>,
}

impl BoxText {
    fn height(&self) -> i64 {
        LINE * (self.name.len() + self.rest.len()) as i64 + 16
    }
}

/// Draws these questions as SVG, one below the other.
pub fn svg(title: &str, trees: &[&Tree]) -> String {
    let mut body = String::new();
    let (mut top, mut width) = (MARGIN, 480);
    for tree in trees {
        let (drawn, size) = drawing(tree, top);
        body.push_str(&drawn);
        top += size.height + MARGIN * 2;
        width = width.max(size.width + MARGIN * 2);
    }
    let style = "text{font:13px 'DejaVu Sans',Arial,sans-serif;fill:#000}.name,.says,.answer{text-anchor:middle}.name{font-weight:bold}\
        .title{font-size:19px;font-weight:bold}.answer{paint-order:stroke;stroke:#fff;stroke-width:5px;\
        font-style:italic}.step,.finding{fill:#fff;stroke:#000;stroke-width:1.3}.finding{stroke-width:2.6}\
        .lost{stroke-dasharray:6 4}.way{fill:none;stroke:#000;stroke-width:1.2}";
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{top}\" \
         viewBox=\"0 0 {width} {top}\" role=\"img\">\n<title>{}</title>\n<style>{style}</style>\n\
         <defs><marker id=\"head\" viewBox=\"0 0 10 10\" refX=\"9\" refY=\"5\" markerWidth=\"8\" \
         markerHeight=\"8\" orient=\"auto\"><path d=\"M0 0L10 5L0 10z\"/></marker></defs>\n\
         <rect width=\"{width}\" height=\"{top}\" fill=\"#fff\"/>\n{body}</svg>\n",
        escaped(title),
    )
}

fn drawing(tree: &Tree, top: i64) -> (String, Size) {
    let words: Vec<BoxText> = (0..tree.steps.len())
        .map(|step| step_text(tree, step))
        .chain((0..tree.findings.len()).map(|finding| finding_text(tree, finding)))
        .collect();
    let sizes: Vec<Size> = words.iter().map(|words| Size { width: WIDTH, height: words.height() }).collect();
    let layout = layout(tree, &sizes);
    let calls: Vec<&str> = tree.calls.iter().map(|call| call.name.as_str()).collect();
    let mut out = format!("<g transform=\"translate({MARGIN} {top})\" id=\"{}\">\n", escaped(&tree.id));
    line(&mut out, "title", (0, 18), &format!("{} {}", tree.cite, tree.title));
    line(&mut out, "about", (0, 40), &format!("{}. Calls: {}", tree.id, calls.join(", ")));
    for node in 0..layout.places.len() {
        ways(&mut out, &layout, &sizes, node);
    }
    for (node, words) in words.iter().enumerate() {
        shape(&mut out, tree, &layout, node, words);
    }
    for node in 0..layout.places.len() {
        answers(&mut out, &layout, &sizes, node);
    }
    out.push_str("</g>\n");
    (out, Size { width: layout.width, height: layout.height + HEAD })
}

fn step_text(tree: &Tree, index: usize) -> BoxText {
    let step = &tree.steps[index];
    let look = match step.looks {
        Looks::FullSpeed => "full speed",
        Looks::Slow => "slow",
        Looks::FrameByFrame => "frame by frame",
    };
    let mut rest = wrapped(&step.ask, LETTERS);
    rest.extend(wrapped(&format!("{look}, {} s, {}", step.seconds, step.proof.kind()), LETTERS));
    let ways = arriving(tree, index);
    match ways {
        0 if index == tree.start => rest.push("▸ start".to_owned()),
        0 => rest.push("✗ no answers lead here".to_owned()),
        1 => {}
        ways => rest.push(format!("⇉ shared: {ways} ways lead here")),
    }
    BoxText { name: wrapped(&step.name, BOLD), rest }
}

/// How many answers lead to a step.
fn arriving(tree: &Tree, step: usize) -> usize {
    let target = super::tree::Target::Step(step);
    tree.steps.iter().flat_map(|step| &step.options).filter(|choice| choice.to == target).count()
}

fn finding_text(tree: &Tree, index: usize) -> BoxText {
    let finding = &tree.findings[index];
    let mut rest = Vec::new();
    let is = |on: &OnCall| match on {
        OnCall::Agrees { .. } => "confirms:",
        OnCall::AgreesIfOn { .. } => "confirms, on the right team:",
        OnCall::Changes { .. } => "reverses:",
        OnCall::Barred(_) => "barred for:",
    };
    for verb in ["confirms:", "confirms, on the right team:", "reverses:", "barred for:"] {
        let calls: Vec<&str> = tree
            .calls
            .iter()
            .enumerate()
            .filter(|(call, _)| finding.on.get(call).is_some_and(|on| is(on) == verb))
            .map(|(_, call)| call.name.as_str())
            .collect();
        if !calls.is_empty() {
            rest.extend(wrapped(&format!("{verb} {}", calls.join(", ")), LETTERS));
        }
    }
    if let Some(wider) = finding.includes.and_then(|wider| tree.findings.get(wider)) {
        rest.extend(wrapped(&format!("includes: {}", wider.name), LETTERS));
    }
    BoxText { name: wrapped(&finding.name, BOLD), rest }
}

fn shape(out: &mut String, tree: &Tree, layout: &Layout, node: usize, words: &BoxText) {
    let (middle, top) = layout.places[node];
    let top = top + HEAD;
    let finding = node >= tree.steps.len();
    let lost = node != tree.start && !layout.arrows.iter().any(|arrow| arrow.to == node);
    let (class, round) = if finding { ("finding", 22) } else { ("step", 0) };
    let class = if lost { format!("{class} lost") } else { class.to_owned() };
    let (left, height) = (middle - WIDTH / 2, words.height());
    out.push_str(&format!(
        "<rect class=\"{class}\" x=\"{left}\" y=\"{top}\" width=\"{WIDTH}\" height=\"{height}\" rx=\"{round}\"/>\n"
    ));
    let names = words.name.iter().map(|text| ("name", text));
    let rest = words.rest.iter().map(|text| ("says", text));
    for (row, (class, text)) in names.chain(rest).enumerate() {
        line(out, class, (middle, top + 20 + LINE * row as i64), text);
    }
}

/// The arrows that leave a node, from left to right as their ends lie.
fn leaving(layout: &Layout, node: usize) -> Vec<&Arrow> {
    let mut leaving: Vec<&Arrow> = layout.arrows.iter().filter(|arrow| arrow.from == node).collect();
    leaving.sort_by_key(|arrow| toward(layout, arrow));
    leaving
}

fn toward(layout: &Layout, arrow: &Arrow) -> i64 {
    arrow.past.first().map_or(layout.places[arrow.to].0, |past| past.0)
}

/// Where the arrow of this rank leaves a box.
fn port(middle: i64, rank: usize, count: usize) -> i64 {
    middle - WIDTH / 2 + WIDTH * (2 * rank as i64 + 1) / (2 * count as i64)
}

/// Where an arrow arrives: beside the others, in the order of the places that they come from.
fn arrival(layout: &Layout, arrow: &Arrow) -> i64 {
    let from = |arrow: &Arrow| arrow.past.last().map_or(layout.places[arrow.from].0, |past| past.0);
    let mut arriving: Vec<&Arrow> = layout.arrows.iter().filter(|other| other.to == arrow.to).collect();
    arriving.sort_by_key(|other| from(other));
    let rank = arriving.iter().position(|other| other.from == arrow.from).unwrap_or(0);
    port(layout.places[arrow.to].0, rank, arriving.len())
}

fn ways(out: &mut String, layout: &Layout, sizes: &[Size], node: usize) {
    let (middle, top) = layout.places[node];
    let leaving = leaving(layout, node);
    for (rank, arrow) in leaving.iter().enumerate() {
        let (mut x, mut y) = (port(middle, rank, leaving.len()), top + sizes[node].height + HEAD);
        let mut path = format!("M{x} {y}");
        // Straight past the answers, so that each stands on its own arrow.
        y += LABEL * labels(leaving.len()) + 6;
        path.push_str(&format!("V{y}"));
        let end = (arrival(layout, arrow), layout.places[arrow.to].1, layout.places[arrow.to].1);
        for (next, above, below) in arrow.past.iter().chain([&end]) {
            let (above, below) = (above + HEAD, below + HEAD);
            let half = (y + above) / 2;
            path.push_str(&format!("C{x} {half} {next} {half} {next} {above}"));
            if below > above {
                path.push_str(&format!("V{below}"));
            }
            (x, y) = (*next, below);
        }
        out.push_str(&format!("<path class=\"way\" d=\"{path}\" marker-end=\"url(#head)\"/>\n"));
    }
}

/// Rows of labels below a box that this many arrows leave.
fn labels(leaving: usize) -> i64 {
    if leaving > 2 { leaving as i64 } else { 1 }
}

fn answers(out: &mut String, layout: &Layout, sizes: &[Size], node: usize) {
    let (middle, top) = layout.places[node];
    let leaving = leaving(layout, node);
    for (rank, arrow) in leaving.iter().enumerate() {
        let x = port(middle, rank, leaving.len());
        // Three or more names side by side would run into one another.
        let drop = LABEL * (rank as i64 % labels(leaving.len()));
        let y = top + sizes[node].height + HEAD + LABEL + drop;
        line(out, "answer", (x, y), &arrow.answers.join(" / "));
    }
}

fn line(out: &mut String, class: &str, (x, y): (i64, i64), text: &str) {
    let text = escaped(text);
    out.push_str(&format!("<text class=\"{class}\" x=\"{x}\" y=\"{y}\">{text}</text>\n"));
}

/// Lines that fit into a box; a word that is longer than a line stays whole.
fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Text escaped for XML, between tags or in an attribute.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            _ if letter.is_control() => out.push(' '),
            _ => out.push(letter),
        }
    }
    out
}
