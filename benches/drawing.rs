//! What a picture of a play costs: the empty hall once a camera, a frame, and a frame encoded.

use criterion::{Criterion, criterion_group, criterion_main};
use rules::book::{load, shipped};
use scene::action::Action;
use scene::canvas::{Canvas, View};
use scene::film;
use scene::hall::Hall;
use scene::play::Play;
use scene::rig;
use scene::shipped::{CAMERAS, PLAYS};
use std::hint::black_box;
use std::io::Cursor;
use std::sync::Arc;

fn drawing(criterion: &mut Criterion) {
    let sources = shipped::sources("saltmarsh").expect("the book is shipped");
    let book = load::load("saltmarsh", &sources).expect("the book is sound");
    let hall = Hall::new(&book.field, ["KITES", "HARBOUR"]);
    let rig = rig::read(CAMERAS).expect("the cameras are shipped");
    let mut group = criterion.benchmark_group("drawing");
    group.sample_size(10);
    for (_, text) in PLAYS.iter().take(1) {
        let play = Play::read(text).expect("the play is shipped");
        let action = Action::new(play.clone(), hall.walls);
        group.bench_function("bodies and ball of a moment", |bencher| {
            bencher.iter(|| (action.poses(black_box(4.8)), action.ball(4.8)));
        });
        for station in &rig {
            let name = &station.mounted.name;
            let view = || View::new(&hall, station, &play.timecode, play.seed);
            group.bench_function(format!("{name}: the empty hall"), |bencher| bencher.iter(view));
            let view = Arc::new(view());
            let mut canvas = Canvas::new(Arc::clone(&view));
            let frame = station.first_frame(4.8).expect("within the play");
            group.bench_function(format!("{name}: a frame"), |bencher| {
                bencher.iter(|| canvas.picture(&action, black_box(frame)));
            });
            group.bench_function(format!("{name}: 32 frames, drawn and encoded"), |bencher| {
                bencher.iter(|| {
                    let out = Cursor::new(Vec::new());
                    film::shoot(&action, &view, out, |done, _| done < 32).expect("it is filmed")
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, drawing);
criterion_main!(benches);
