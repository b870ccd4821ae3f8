//! How long the order of two events takes: one mark each in closed form, several marks by quadrature. The bound is
//! 1 ms.

use criterion::{Criterion, criterion_group, criterion_main};
use evidence::time::order::{Between, Clip, Mark, Marks, Sight, between};
use std::hint::black_box;

fn clip(rate: &str, offset_sigma_s: f64, readout_s: f64) -> Clip {
    let rate = Some(rate.parse().expect("a rate"));
    Clip { rate, offset_sigma_s, readout_s, ..Clip::default() }
}

fn sights(clips: &[Clip], marks: &[(usize, u64)]) -> Vec<Sight> {
    let sight = |(on, frame): &(usize, u64)| clips[*on].sight(*on, Mark::Frame(*frame)).expect("a mark");
    marks.iter().map(sight).collect()
}

fn order(bench: &mut Criterion) {
    let sharp = [clip("60000/1001", 0.0, 0.0), clip("30", 0.004, 0.0), clip("50", 0.006, 0.0)];
    let rolling = [clip("60000/1001", 0.003, 0.012), clip("30", 0.004, 0.016), clip("50", 0.006, 0.0)];
    type On<'a> = &'a [(usize, u64)];
    let cases: [(&str, &[Clip], On<'_>, On<'_>); 5] = [
        ("one mark each", &sharp, &[(0, 60)], &[(1, 31)]),
        ("one mark each, rolling shutters", &rolling, &[(0, 60)], &[(1, 31)]),
        ("both on two cameras", &sharp, &[(0, 60), (1, 30)], &[(0, 61), (1, 31)]),
        ("three cameras", &sharp, &[(0, 60), (1, 30)], &[(2, 52), (1, 31)]),
        ("both on two rolling cameras", &rolling, &[(0, 60), (1, 30)], &[(0, 61), (1, 31)]),
    ];
    for (name, clips, first, then) in cases {
        let (first, then) = (sights(clips, first), sights(clips, then));
        bench.bench_function(name, |bench| {
            bench.iter(|| {
                let marks = Marks { clips: black_box(clips), first: &first, then: &then };
                let Ok(Between::Known(gap)) = between(marks) else { unreachable!("the marks agree") };
                (gap.above(0.0), gap.figures())
            });
        });
    }
}

criterion_group!(benches, order);
criterion_main!(benches);
