//! How long the grammar takes for a two-cage line. The target is under 10 microseconds at the median.
#![allow(missing_docs, reason = "the macros make public items")]

use clutchline::grammar::{Lexicon, read};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn parse(criterion: &mut Criterion) {
    let lexicon = Lexicon::builtin();
    criterion.bench_function("parse two cages", |bench| {
        bench.iter(|| read(black_box("C4 12.5 bait C5 8 water"), lexicon));
    });
    criterion.bench_function("parse a misspelt word", |bench| {
        bench.iter(|| read(black_box("C4 12.5 chmabo C5 8 watre"), lexicon));
    });
}

criterion_group!(benches, parse);
criterion_main!(benches);
