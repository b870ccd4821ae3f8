//! A review from the challenge to the announcement, by keys, along answers that lead to a finding.

use super::hands::{clock, read, spot};
use super::meant;
use super::meant::{CREATES, Case, Meant, SAFETY, calls};
use super::{Evening, Ran};
use crate::booth::{Screen, walk};
use crate::keys::{Cap, ctrl, letter, plain, shift};
use review::fold::Phase;
use rules::book::effect::{Effect, Fouler};
use rules::book::tree::{Target, Tree};
use testing::dice::Dice;

/// Who asks for a review, in the order of the digits.
const BOOTH: usize = 2;

/// How a review is meant to end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ends {
    Ruled,
    Withdrawn,
    CutShort,
}

/// What is going to be done about a play.
#[derive(Debug, Clone)]
struct Plan {
    tree: usize,
    call: usize,
    finding: Option<usize>,
    /// Steps with the option to be answered; `None`: unclear.
    steps: Vec<(usize, Option<usize>)>,
    /// 0 and 1: the coaches; 2: the booth.
    who: usize,
    whistled: bool,
    spot: i64,
    clock_ms: i64,
    accepted: bool,
    /// The crew's flag, where the call does not say on whom it is: as it is typed, and whether it is on the offense.
    flag: Option<(String, bool)>,
    ends: Ends,
}

/// The answers of a random walk to a finding, from this step on.
fn walk_to(
    dice: &mut Dice,
    (tree, shortened): (&Tree, bool),
    step: usize,
    finding: usize,
) -> Option<Vec<(usize, Option<usize>)>> {
    let options = &tree.steps[step].options;
    let first = dice.below(options.len());
    let order = (0..options.len()).map(|at| (first + at) % options.len());
    // The desk knows it, and answers it.
    let known = tree.steps[step].name == "shortened";
    let open = |option: &usize| !known || (*option == 0) == shortened;
    order.filter(open).find_map(|option| match options[option].to {
        Target::Find(found) => (found == finding).then(|| vec![(step, Some(option))]),
        Target::Step(next) => {
            let mut steps = walk_to(dice, (tree, shortened), next, finding)?;
            steps.insert(0, (step, Some(option)));
            Some(steps)
        }
    })
}

impl Evening {
    /// Asks for a review of the newest play, of a question that was asked least; whether there was one to ask.
    pub(super) fn review(&mut self) -> bool {
        let Some(plan) = self.plan() else { return false };
        let (tree, ran) = (&self.book.trees[plan.tree], self.ran.clone().expect("a play was run"));
        let (id, call) = (tree.id.clone(), tree.calls[plan.call].name.clone());
        let no_call = tree.calls[plan.call].no_call;
        let about = format!("{id} `{call}` {:?}", plan.finding.map(|found| &tree.findings[found].name));
        self.counts.one(&format!("asked: {id}"));
        // 3.1, 3.3 and 3.8, in this order.
        let booths = ran.before.late() || ran.before.period > 4 || id == "clock" || ran.booths();
        let entitled = if plan.who == BOOTH { booths || SAFETY.contains(&id.as_str()) } else { !booths };
        let pays = plan.who == BOOTH || self.day.may_challenge(plan.who);
        // Section 15: the booth alone may create a blow.
        let blow = id == "blow-and-answer" && plan.who == BOOTH;
        let may_create = !no_call || CREATES.contains(&id.as_str()) || blow;
        let title = tree.title.clone();
        self.ask(&title, &id, &plan);
        if !(entitled && pays && may_create) {
            let charged = plan.who != BOOTH && entitled && pays;
            self.leave_refused(charged.then_some(plan.who));
            self.counts.one(if charged { "refused at a price" } else { "refused" });
            return true;
        }
        let phase = self.desk_phase();
        assert_eq!(phase, Some(Phase::Admitted), "{about}: not admitted by {}", plan.who);
        self.hold(&plan);
        self.settle_with(&plan, &about);
        true
    }

    /// Asks about something that is never reviewed (3.9): a timeout for most, nothing for a wrong count.
    pub(super) fn ask_what_is_closed(&mut self) {
        let closed = [("holding", true), ("spot", true), ("count of downs", false)];
        let (name, costs) = closed[self.dice.below(closed.len())];
        let who = self.dice.below(2);
        let ran = self.ran.clone().expect("a play was run");
        let booths = ran.before.late() || ran.before.period > 4 || ran.booths();
        let costs = costs && !booths && self.day.may_challenge(who);
        self.find(name, name, who);
        self.hands.press(ctrl(Cap::Enter));
        self.leave_refused(costs.then_some(who));
        self.counts.one(if costs { "refused at a price" } else { "refused" });
    }

    fn desk_phase(&self) -> Option<Phase> {
        self.hands.desk().in_game().game.review().map(|review| review.phase)
    }

    fn plan(&mut self) -> Option<Plan> {
        let ran = self.ran.clone()?;
        let mut order: Vec<usize> = (0..self.book.trees.len()).collect();
        for at in (1..order.len()).rev() {
            order.swap(at, self.dice.below(at + 1));
        }
        let counts = &self.counts;
        order.sort_by_key(|tree| counts.of(&format!("asked: {}", self.book.trees[*tree].id)));
        let from = self.dice.below(3);
        let fits = |tree: &&usize| !named(&self.book.trees[**tree], &ran).is_empty();
        let all: Vec<usize> = order.iter().filter(fits).copied().collect();
        let tree = *all.get(from.min(all.len().checked_sub(1)?))?;
        let known = &self.book.trees[tree];
        let names = named(known, &ran);
        let mut call = known.call(names[self.dice.below(names.len())]).expect("the book has the call");
        if known.calls[call].no_call && !CREATES.contains(&known.id.as_str()) && self.dice.below(4) > 0 {
            // Refused at a price: now and then.
            call = known.call(names[0]).expect("the book has the call");
        }
        let finding = (self.dice.below(8) > 0).then(|| self.dice.below(known.findings.len()));
        let shortened = ran.before.shortened();
        let steps = match finding {
            None => vec![(known.start, None)],
            Some(finding) => {
                walk_to(&mut self.dice, (known, shortened), known.start, finding).expect("it is reached")
            }
        };
        let finding = finding.filter(|finding| !leaves_it(known, *finding));
        let name = finding.map(|finding| known.findings[finding].name.as_str());
        let steps = if finding.is_none() { vec![(known.start, None)] } else { steps };
        let wishes_whistle = ["down", "incomplete", "forward"].contains(&known.calls[call].name.as_str())
            && name.is_some_and(|name| name.contains("recover"));
        let spot = meant::spot(&known.id, name, &ran.before, self.dice.below(1 << 20) as i64);
        let seconds = ((ran.before.clock_ms - ran.play.clock_ms) / 1000) as usize;
        let by = |part: Fouler| part == Fouler::Called;
        let called = known.calls[call]
            .result
            .iter()
            .any(|effect| matches!(effect, Effect::Foul { by: on, .. } if by(*on)));
        let flag = called.then(|| flag(&mut self.dice, &known.id, name, spot));
        let scored = ran.after.score[ran.before.ball] > ran.before.score[ran.before.ball];
        let who = if self.dice.below(12) == 0 { self.dice.below(3) } else { self.rightful(tree) };
        if who != BOOTH && !self.day.may_challenge(who) && self.dice.below(4) > 0 {
            return None;
        }
        let ends = match self.dice.below(20) {
            // A challenge is withdrawn by the coach who made it.
            0 if who != BOOTH => Ends::Withdrawn,
            1 => Ends::CutShort,
            _ => Ends::Ruled,
        };
        Some(Plan {
            tree,
            call,
            finding,
            steps,
            who,
            whistled: wishes_whistle
                && ran.play.what != super::plays::Occurred::Down
                && self.dice.below(2) == 0,
            spot,
            clock_ms: ran.play.clock_ms + 1000 * self.dice.below(seconds + 1) as i64,
            accepted: !scored && self.dice.below(3) > 0,
            flag,
            ends,
        })
    }

    /// Who may ask by 3.1: the booth where it alone may, or a coach with a challenge and a timeout.
    fn rightful(&mut self, tree: usize) -> usize {
        let ran = self.ran.clone().expect("a play was run");
        let id = self.book.trees[tree].id.as_str();
        let first = self.dice.below(2);
        let coach = if self.day.may_challenge(first) { first } else { 1 - first };
        let booths = ran.before.late() || ran.before.period > 4 || id == "clock" || ran.booths();
        if booths || (SAFETY.contains(&id) && self.dice.below(2) == 0) { BOOTH } else { coach }
    }

    /// Opens the challenge and picks the question.
    fn find(&mut self, words: &str, id: &str, who: usize) {
        self.hands.press(letter('c'));
        self.hands.press(plain(Cap::Digit(who as u8 + 1)));
        self.hands.write(words);
        for _ in 0..40 {
            let Screen::Challenge(challenge) = self.hands.desk().screen() else { break };
            if challenge.pointed().is_some_and(|found| found.id == id) {
                self.hands.press(plain(Cap::Enter));
                return;
            }
            self.hands.press(plain(Cap::Down));
        }
        panic!("{id} is not found by its title");
    }

    fn ask(&mut self, title: &str, id: &str, plan: &Plan) {
        self.find(title, id, plan.who);
        self.hands.press(plain(Cap::Digit(plan.call as u8 + 1)));
        if plan.whistled {
            self.hands.press(letter('w'));
        }
        self.hands.press(ctrl(Cap::Enter));
    }

    /// The gate refused: the day goes on, with a timeout less where it cost one.
    fn leave_refused(&mut self, charged: Option<usize>) {
        assert_eq!(self.desk_phase(), Some(Phase::Refused), "the gate was to refuse it");
        self.maybe_kill();
        self.hands.press(plain(Cap::Escape));
        self.hands.press(ctrl(Cap::Enter));
        if let Some(team) = charged {
            self.day.timeouts[team] -= 1;
        }
        self.agrees("a refused challenge");
    }

    /// Presses what the open screen asks for until the review is over.
    fn hold(&mut self, plan: &Plan) {
        // Pressed, so that each is chosen once.
        // What was chosen about the crew's fouls between plays is chosen.
        let mut chosen = self.ran.as_ref().is_some_and(|ran| ran.flagged);
        let (mut flagged, mut ending) = (false, false);
        // What the restart needed when it was last marked.
        let (mut wanted, mut pressed) = (Vec::new(), 0);
        for _ in 0..120 {
            self.maybe_kill();
            match self.hands.desk().screen() {
                Screen::Between(_) => return,
                Screen::Challenge(_) => self.hands.press(plain(Cap::Enter)),
                Screen::Walk(walk) if walk.line().is_some() => {
                    assert!(matches!(walk.typing(), Some(walk::Typing::Mark { .. })), "{:?}", walk.typing());
                    self.mark(plan);
                }
                Screen::Walk(_) if plan.ends != Ends::Ruled && !ending => {
                    self.hands.press(letter('x'));
                    self.hands.type_in(if plan.ends == Ends::Withdrawn {
                        ""
                    } else {
                        "the pictures were lost"
                    });
                    self.hands.press(ctrl(Cap::Enter));
                    ending = true;
                }
                Screen::Walk(_) => {
                    if let Some((flag, _)) = plan.flag.as_ref().filter(|_| !flagged) {
                        self.hands.press(letter('f'));
                        self.hands.type_in(flag);
                        flagged = true;
                    } else {
                        self.step(plan);
                    }
                }
                Screen::Penalties(_) if chosen => self.hands.press(plain(Cap::Escape)),
                Screen::Penalties(_) => {
                    self.hands.press(plain(Cap::Digit(if plan.accepted { 1 } else { 2 })));
                    chosen = true;
                }
                Screen::Ruling(ruling) => {
                    let (phase, shown) = (ruling.phase(), ruling.shown().cloned());
                    let weighed = ruling.weighed();
                    let choices = weighed.map_or(0, |weighed| weighed.choices.len());
                    let needs = weighed.map_or(&[][..], |weighed| &weighed.needs).to_vec();
                    match phase {
                        Phase::Open if choices > 0 && !chosen => self.hands.press(letter('p')),
                        Phase::Open if !needs.is_empty() => {
                            // A mark that was being typed when the power failed is typed again.
                            pressed = if needs == wanted { pressed + 1 } else { 1 };
                            assert!(pressed < 4, "a dead end: M does not give {needs:?}");
                            wanted = needs;
                            self.hands.press(letter('m'));
                        }
                        Phase::Open => {
                            self.hands.press(ctrl(Cap::Enter));
                            assert_ne!(self.desk_phase(), Some(Phase::Open), "a dead end: {shown:?}");
                        }
                        Phase::Ruled => self.hands.press(letter('k')),
                        Phase::ReadyToAnnounce => self.hands.press(shift(Cap::Letter('a'))),
                        _ => self.leave_ruling(),
                    }
                }
                _ => panic!("on {}", self.hands.desk().title()),
            }
        }
        panic!("a dead end on {}", self.hands.desk().title());
    }

    /// The review is over: nothing in its ruling went against the book.
    fn leave_ruling(&mut self) {
        let review = self.hands.desk().review();
        let overrides = review.ruling.as_ref().map(|ruling| ruling.overrides.clone());
        assert!(overrides.as_ref().is_none_or(Vec::is_empty), "{overrides:?}");
        self.hands.press(plain(Cap::Enter));
    }

    /// The next step that is not answered: looked at, marked, answered; after the last one, on to the ruling.
    fn step(&mut self, plan: &Plan) {
        let walk = self.hands.desk().on_walk();
        let lines = &walk.boards()[0].steps;
        let next = plan.steps.iter().find(|(step, _)| lines[*step].answer.is_none()).copied();
        let Some((step, option)) = next else {
            self.hands.press(plain(Cap::Enter));
            return;
        };
        let open = walk.open_step().1;
        if open != step {
            let (before, reached) = (step < open, lines[step].reached);
            assert!(reached, "`{}` is not on the way", lines[step].name);
            self.hands.press(plain(if before { Cap::Up } else { Cap::Down }));
            return;
        }
        if lines[step].looked == 0 {
            self.hands.press(letter('l'));
        } else if !lines[step].unmarked.is_empty() {
            self.hands.press(letter('m'));
        } else {
            self.hands.press(match option {
                None => letter('u'),
                Some(option) => plain(Cap::Digit(option as u8 + 1)),
            });
            if self.dice.below(25) == 0 {
                self.hands.press(plain(Cap::Backspace));
                self.counts.one("taken back");
            }
        }
    }

    fn mark(&mut self, plan: &Plan) {
        let text = format!("411722 {} c{}", spot(plan.spot), clock(plan.clock_ms));
        self.hands.type_in(&text);
    }

    /// The day after the review, by the league's rules.
    fn settle_with(&mut self, plan: &Plan, about: &str) {
        match plan.ends {
            Ends::Withdrawn => self.counts.one("withdrawn"),
            Ends::CutShort => self.counts.one("cut short"),
            Ends::Ruled => {
                let ran = self.ran.clone().expect("a play was run");
                let tree = &self.book.trees[plan.tree];
                let case = Case {
                    tree: &tree.id,
                    call: &tree.calls[plan.call].name,
                    finding: plan.finding.map(|finding| tree.findings[finding].name.as_str()),
                    whistled: plan.whistled,
                    flagged: plan.flag.as_ref().map(|(_, on_offense)| *on_offense),
                    play: ran.play,
                    before: &ran.before,
                    spot: plan.spot,
                    clock_ms: plan.clock_ms,
                };
                // How the crew's own fouls go together with a ruling that changes the play is not reckoned here.
                let plain = !ran.flagged || case.meant() == Meant::AsRun;
                let ruled = case.reckoned(&self.day, plan.accepted).filter(|_| plain);
                let day = ruled.map(|ruled| ran.taken_over(ruled, &self.day));
                self.counts.one("ruled");
                self.counts.one(&format!("ruled: {}", tree.id));
                match day {
                    None => {
                        self.counts.one(&format!("{}: {}", super::NOT_RECKONED, tree.id));
                        self.counts.one(super::NOT_RECKONED);
                        self.day = read(&self.hands.situation(), &self.day);
                    }
                    Some(mut day) => {
                        if plan.who != BOOTH {
                            day.challenged(plan.who, case.reversed());
                        }
                        self.day = day;
                    }
                }
                if case.asks() {
                    self.counts.one(if plan.accepted { "accepted" } else { "declined" });
                }
            }
        }
        self.agrees(&format!("{about} {plan:?}"));
    }
}

/// The calls of a question that fit the play. A score or a turnover that a penalty took back is none.
fn named(tree: &Tree, ran: &Ran) -> Vec<&'static str> {
    let mut names = calls(&tree.id, ran.play, &ran.before, &ran.played);
    names.retain(|name| {
        let call = tree.call(name).map(|call| &tree.calls[call]).expect("the book has the call");
        !ran.flagged || ran.booths() || !(call.score || call.turnover)
    });
    names
}

/// The book leaves it to the referee.
fn leaves_it(tree: &Tree, finding: usize) -> bool {
    let name = tree.findings[finding].name.as_str();
    name.starts_with("exchange")
}

/// The crew's flag for a foul of this question, as it is typed.
fn flag(dice: &mut Dice, tree: &str, found: Option<&str>, at: i64) -> (String, bool) {
    let name = match tree {
        "face-mask" => "face mask",
        "hands-to-face" => "hands to the face",
        "forward-bat" => "illegal forward bat",
        "too-many" => "too many players",
        _ => "blow",
    };
    let on_offense = found.map_or(dice.below(2) == 0, |found| found.contains("offense"));
    (format!("{name}, {} {}", if on_offense { "o" } else { "d" }, spot(at)), on_offense)
}
