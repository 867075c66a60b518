//! Two weights for one unit and day in one line: neither may pass for the other.
//!
//! This room judges no weight.

use crate::desk::reply::Ask;
use crate::desk::work::Work;
use crate::domain::event::Harvest;
use crate::domain::question::Held;
use crate::domain::said::Why;
use crate::units::Grams;

impl Work<'_> {
    /// Two weights for one unit and day in one line, the first of them already held: neither may pass for the other.
    pub(crate) fn double_in_one_line(&mut self, harvest: &Harvest) -> bool {
        let same = |held: &Held| match held {
            Held::OtherWeight { harvest: h, .. }
            | Held::AddAgain { harvest: h }
            | Held::TooEarly { harvest: h, .. }
            | Held::NotStocked { harvest: h }
            | Held::Implausible { harvest: h, .. } => {
                h.unit == harvest.unit && h.day == harvest.day
            }
            Held::Restock { .. }
            | Held::StockSize { .. }
            | Held::WhichUnit { .. }
            | Held::WhichUnitFor { .. }
            | Held::Delivery { .. }
            | Held::Forget
            | Held::Pin(_)
            | Held::Doubt { .. } => false,
        };
        let Some(at) = self.held.iter().position(same) else {
            return false;
        };
        let first = self.ask_of(&self.held[at]);
        let options = [self.weight_of_ask(&first), Some(harvest.grams)]
            .into_iter()
            .flatten()
            .map(|g| g.to_string())
            .collect();
        self.held[at] = Held::Doubt {
            why: Why::TwoNumbers,
            unit: Some(harvest.unit),
            text: harvest.unit.to_string(),
            options,
            likely: Vec::new(),
        };
        true
    }

    fn weight_of_ask(&self, ask: &Ask) -> Option<Grams> {
        match ask {
            Ask::OtherWeight { new, .. } => Some(*new),
            Ask::AddAgain { grams, .. }
            | Ask::TooEarly { grams, .. }
            | Ask::NotStocked { grams, .. } => Some(*grams),
            Ask::Implausible { said, .. } => Some(*said),
            Ask::Restock { .. }
            | Ask::StockSize { .. }
            | Ask::WhichUnit { .. }
            | Ask::Delivery { .. }
            | Ask::Forget
            | Ask::Pin(_)
            | Ask::Whose(_)
            | Ask::Doubt { .. } => None,
        }
    }
}
