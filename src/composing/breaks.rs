//! Where pages end: the breaks with the least total cost over the document.

use super::slab::{NEVER, Slab};

/// One page more than needed, a page poorly filled, a question cut in two that
/// could have opened the next page: that is worth it only where it saves a page.
const PAGE: f64 = 300.0;
const POOR: f64 = 150.0;
const CUT: f64 = 260.0;
/// A break inside something while its next piece would still fit on the page: a
/// reader asks why. Worse inside a question than inside a text.
const NEEDLESS: f64 = 150.0;
const NEEDLESS_IN_QUESTION: f64 = 500.0;
/// A page left empty; in proportion for a part of one.
const BARE: f64 = 60.0;
const TOO_TALL: f64 = 1e9;

/// Below this share of its height a page is poorly filled.
const FILLED: f64 = 0.60;

/// A page at least so full may be left for a question to stay whole.
const LEAVABLE: f64 = 0.55;

/// The pages as ranges of slabs. `head(slab)` is the height of what must be drawn
/// again above a slab that opens a page.
pub(super) fn pages(
    slabs: &[Slab],
    height: f64,
    head: impl Fn(&Slab) -> f64,
) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut start = 0;
    for i in 1..=slabs.len() {
        if i == slabs.len() || slabs[i].opens.is_some() || slabs[i].behind {
            stretch(slabs, start, i, height, &head, &mut out);
            start = i;
        }
    }
    out
}

/// Breaks the slabs from `start` to `end`, which begin a page and end one.
fn stretch(
    slabs: &[Slab],
    start: usize,
    end: usize,
    height: f64,
    head: &impl Fn(&Slab) -> f64,
    out: &mut Vec<(usize, usize)>,
) {
    let groups = groups(slabs, start, end);
    let count = end - start;
    // best[k][p]: the least cost of the pages up to slab start + k where those and all
    // before are even (0) or odd (1) in number, and where the last of them begins.
    let mut best = vec![[(f64::INFINITY, 0usize); 2]; count + 1];
    best[0][out.len() % 2].0 = 0.0;
    for (from, before) in (0..count).flat_map(|from| [(from, 0), (from, 1)]) {
        let so_far = best[from][before].0;
        if so_far == f64::INFINITY {
            continue;
        }
        // The page from here is odd where an even number of pages stands before it.
        let turns = before == 0;
        let first = &slabs[start + from];
        let mut used = head(first);
        // How full the page was when the group of the current slab began.
        let mut before_group = None;
        let mut group = first.group;
        for to in from + 1..=count {
            let slab = &slabs[start + to - 1];
            if to > from + 1 {
                let above = &slabs[start + to - 2];
                let gap = above.after.max(slab.before);
                if slab.group != group {
                    group = slab.group;
                    before_group = Some(used);
                }
                used += gap;
            }
            used += slab.height;
            let over = used > height + 1e-6;
            if over && to > from + 1 {
                break;
            }
            let mut cost = so_far + PAGE;
            if over {
                cost += TOO_TALL;
            }
            if to < count {
                cost += if slab.facing && turns { NEVER } else { slab.glue };
                let share = used / height;
                if share < FILLED {
                    cost += POOR;
                }
                cost += BARE * (1.0 - share);
                let next = &slabs[start + to];
                let parted = next.group != 0 && next.group == slab.group;
                let fits = parted && groups[start + to - start] <= height;
                if slab.glue > 0.0 && used + piece(slabs, start + to, end, slab) <= height {
                    cost += if parted { NEEDLESS_IN_QUESTION } else { NEEDLESS };
                }
                if fits && before_group.is_some_and(|used| used / height >= LEAVABLE) {
                    cost += CUT;
                }
            }
            // Of equals the one that fills the earlier pages.
            let best = &mut best[to][1 - before];
            if cost <= best.0 + 1e-6 {
                *best = (cost, from);
            }
        }
    }
    let mut ends = Vec::new();
    let mut at = count;
    let mut pages = usize::from(best[count][1].0 < best[count][0].0);
    while at > 0 {
        let from = best[at][pages].1;
        ends.push((start + from, start + at));
        at = from;
        pages = 1 - pages;
    }
    out.extend(ends.into_iter().rev());
}

/// The height that the slabs from `at` to the next place for a break would take
/// under `above`.
fn piece(slabs: &[Slab], at: usize, end: usize, above: &Slab) -> f64 {
    let mut height = 0.0;
    let mut last = above;
    for slab in &slabs[at..end] {
        height += last.after.max(slab.before) + slab.height;
        if slab.glue < NEVER {
            break;
        }
        last = slab;
    }
    height
}

/// For each slab of the stretch the height of the whole group that it is in.
fn groups(slabs: &[Slab], start: usize, end: usize) -> Vec<f64> {
    let mut heights = vec![0.0; end - start];
    let mut from = start;
    for i in start + 1..=end {
        if i == end || slabs[i].group != slabs[from].group {
            let gaps: f64 = slabs[from..i].windows(2).map(|w| w[0].after.max(w[1].before)).sum();
            let height = gaps + slabs[from..i].iter().map(|slab| slab.height).sum::<f64>();
            heights[from - start..i - start].fill(height);
            from = i;
        }
    }
    heights
}

/// A heading wants three slabs of what follows on its page, as far as its own
/// text goes.
pub(super) fn hold_headings(slabs: &mut [Slab]) {
    for i in 0..slabs.len() {
        if slabs[i].heading.is_none() {
            continue;
        }
        slabs[i].glue = NEVER;
        for j in i + 1..i + 3 {
            match slabs.get(j + 1) {
                Some(next) if next.heading.is_none() => slabs[j].glue = NEVER,
                _ => break,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slab(height: f64, glue: f64, group: usize) -> Slab {
        Slab { height, glue, group, ..Slab::default() }
    }

    #[test]
    fn a_question_opens_the_next_page_where_the_one_before_is_full_enough() {
        let slabs =
            [slab(60.0, 0.0, 1), slab(20.0, 50.0, 2), slab(20.0, 50.0, 2), slab(20.0, 0.0, 2)];
        assert_eq!(pages(&slabs, 100.0, |_| 0.0), [(0, 1), (1, 4)]);
        let slabs =
            [slab(40.0, 0.0, 1), slab(20.0, 50.0, 2), slab(20.0, 50.0, 2), slab(40.0, 0.0, 2)];
        assert_eq!(pages(&slabs, 100.0, |_| 0.0), [(0, 3), (3, 4)]);
    }

    #[test]
    fn a_question_is_cut_where_that_saves_a_page() {
        let question = |group| [slab(30.0, 50.0, group), slab(30.0, 0.0, group)];
        let slabs: Vec<Slab> = (1..=3).flat_map(question).collect();
        // 180 of text: on two pages with one cut, on three without.
        assert_eq!(pages(&slabs, 100.0, |_| 0.0), [(0, 3), (3, 6)]);
        // 360 take four pages with two cuts; each whole, they would take six.
        let slabs: Vec<Slab> = (1..=6).flat_map(question).collect();
        assert_eq!(pages(&slabs, 100.0, |_| 0.0).len(), 4);
        // Where no page is saved, none is cut.
        let slabs: Vec<Slab> = (1..=2).flat_map(question).collect();
        assert_eq!(pages(&slabs, 100.0, |_| 0.0), [(0, 2), (2, 4)]);
    }

    #[test]
    fn what_must_stay_together_does_while_it_can() {
        let slabs = [slab(50.0, NEVER, 0), slab(40.0, NEVER, 0), slab(30.0, 0.0, 0)];
        let all = pages(&slabs, 100.0, |_| 0.0);
        assert_eq!((all.first().map(|p| p.0), all.last().map(|p| p.1)), (Some(0), Some(3)));
        let slabs = [slab(250.0, 0.0, 0), slab(10.0, 0.0, 0)];
        assert_eq!(pages(&slabs, 100.0, |_| 0.0), [(0, 1), (1, 2)]);
    }
}
