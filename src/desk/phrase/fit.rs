//! Making a reply fit one part: whole pieces are left out, least important first.
//!
//! This room counts characters; it does not know what a piece says or in which language.

use crate::units::septets::{PART_SEPTETS, fits_one_part};

/// A piece of a reply, already in words.
#[derive(Clone, Debug)]
pub(super) struct Block {
    /// Importance; 0 stays longest.
    pub(super) rank: u8,
    /// The words.
    pub(super) text: Text,
}

/// What a piece says.
#[derive(Clone, Debug)]
pub(super) enum Text {
    /// One sentence that stays or goes as a whole.
    Whole(String),
    /// A sentence around a list whose later items may go.
    List(List),
}

/// A sentence around a list.
#[derive(Clone, Debug)]
pub(super) struct List {
    /// Words before the items.
    pub(super) before: String,
    /// The items.
    pub(super) items: Vec<Item>,
    /// What stands between two items.
    pub(super) between: &'static str,
    /// Words after the items.
    pub(super) after: String,
    /// How many facts earlier cuts have left out.
    pub(super) left_out: usize,
}

/// One item of a list.
#[derive(Clone, Debug)]
pub(super) struct Item {
    /// The words.
    pub(super) text: String,
    /// How many facts it tells, one for each unit: what `+3 more` counts.
    pub(super) counts: usize,
}

/// How far one attempt may go.
#[derive(Clone, Copy, Debug)]
pub(super) struct Allowance {
    /// Pieces of this rank and above may go as a whole.
    pub(super) whole_from: u8,
    /// Items of the list of what was saved may go until so many are left.
    pub(super) saved_min: usize,
}

/// How what is left out is told.
#[derive(Clone, Copy)]
pub(super) struct Rest<'a> {
    /// So many items of a list: `+3 more`.
    pub(super) more: &'a dyn Fn(usize) -> String,
    /// So many questions, refusals and unread pieces, none of which may go without a word: `+2 not saved`.
    pub(super) unsaved: &'a dyn Fn(usize) -> String,
}

/// The rank of pieces that say what was not saved.
const UNSAVED: u8 = 1;

/// The pieces as one text within one part, or `None` where the allowance is not enough.
pub(super) fn fit(blocks: Vec<Block>, allowance: Allowance, rest: Rest<'_>) -> Option<String> {
    fit_counted(blocks, allowance, rest).map(|(text, _)| text)
}

/// As [`fit`], and how many pieces that say what was not saved were left out. Where some had to go anyway, the list of what was saved stays as long
/// as no more of them go for it.
pub(super) fn fit_fullest(
    blocks: &[Block],
    allowance: Allowance,
    rest: Rest<'_>,
) -> Option<(String, usize)> {
    let (barest, gone) = fit_counted(blocks.to_vec(), allowance, rest)?;
    let longest = blocks.iter().filter(|b| b.rank == 0).map(items_of).max();
    let fuller = |saved_min: usize| {
        let wider = Allowance {
            saved_min,
            ..allowance
        };
        fit_counted(blocks.to_vec(), wider, rest)
            .filter(|(_, left_out)| *left_out == gone)
            .map(|(text, _)| text)
    };
    let mut wider = (allowance.saved_min + 1..=longest.unwrap_or(0)).rev();
    Some((wider.find_map(fuller).unwrap_or(barest), gone))
}

fn fit_counted(
    mut blocks: Vec<Block>,
    allowance: Allowance,
    rest: Rest<'_>,
) -> Option<(String, usize)> {
    let unsaved = |b: &&Block| b.rank == UNSAVED && matches!(b.text, Text::Whole(_));
    let asked = |blocks: &[Block]| blocks.iter().filter(unsaved).count();
    let all = asked(&blocks);
    // Every round takes one item or one piece away, so that the loop ends.
    loop {
        let mut text = compose(&blocks, rest.more);
        let gone = all - asked(&blocks);
        if gone > 0 {
            text = format!("{text} {}", (rest.unsaved)(gone));
        }
        // Each character costs a septet at least: a far too long text need not be counted exactly.
        if text.chars().nth(PART_SEPTETS).is_none() && fits_one_part(&text) {
            return Some((text, gone));
        }
        if !drop_least(&mut blocks, allowance) {
            return None;
        }
    }
}

/// As many whole words as fit: the last resort for a piece that cannot be made shorter. A number is one word and stays whole.
pub(super) fn whole_words(text: &str) -> String {
    let mut kept = String::new();
    for word in text.split(' ') {
        let longer = if kept.is_empty() {
            word.to_owned()
        } else {
            format!("{kept} {word}")
        };
        if !fits_one_part(&longer) {
            break;
        }
        kept = longer;
    }
    kept
}

/// The pieces as one text, however long.
pub(super) fn compose(blocks: &[Block], more: &dyn Fn(usize) -> String) -> String {
    let mut text = String::new();
    for block in blocks {
        if !text.is_empty() {
            text.push(' ');
        }
        match &block.text {
            Text::Whole(words) => text.push_str(words),
            Text::List(list) => {
                text.push_str(&list.before);
                for (nth, item) in list.items.iter().enumerate() {
                    if nth > 0 {
                        text.push_str(list.between);
                    }
                    text.push_str(&item.text);
                }
                if list.left_out > 0 {
                    text.push_str(list.between);
                    text.push_str(&more(list.left_out));
                }
                text.push_str(&list.after);
            }
        }
    }
    text
}

/// Takes the least important thing away; false where nothing may go any more.
fn drop_least(blocks: &mut Vec<Block>, allowance: Allowance) -> bool {
    let lowest = blocks
        .iter()
        .enumerate()
        .filter(|(_, block)| block.rank >= allowance.whole_from.max(2))
        .max_by_key(|(at, block)| (block.rank, *at));
    if let Some((at, _)) = lowest {
        drop_from(blocks, at, 1);
        return true;
    }
    // What was saved gives way to a question item by item: a question that nobody sees holds something for nothing.
    let saved = blocks
        .iter()
        .rposition(|block| block.rank == 0 && items_of(block) > allowance.saved_min);
    if let Some(at) = saved {
        drop_from(blocks, at, allowance.saved_min);
        return true;
    }
    if allowance.whole_from > 1 {
        return false;
    }
    let least = blocks
        .iter()
        .enumerate()
        .max_by_key(|(at, block)| (block.rank, *at));
    match least {
        Some((at, _)) if blocks.len() > 1 => {
            blocks.remove(at);
            true
        }
        _ => false,
    }
}

/// Takes the last item of a list away, or the whole piece where no more than `least` items are left.
fn drop_from(blocks: &mut Vec<Block>, at: usize, least: usize) {
    if let Some(Text::List(list)) = blocks.get_mut(at).map(|block| &mut block.text)
        && list.items.len() > least
        && let Some(item) = list.items.pop()
    {
        list.left_out += item.counts;
        return;
    }
    blocks.remove(at);
}

fn items_of(block: &Block) -> usize {
    match &block.text {
        Text::Whole(_) => 0,
        Text::List(list) => list.items.len(),
    }
}
