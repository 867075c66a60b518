//! From grams of eggs to pupae again: hatchlings, five-day-old larvae, feed, larvae, prepupae, pupae; and how much to hold back.
//!
//! Every share is the table's unless the farm's own is known. This room does not know when anything happens; stages say that.

use crate::biology::tables::Parameters;

/// A chain whose larvae would be heavier than any that were ever weighed: a figure in it is wrong.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "a surviving larva would weigh {found_mg:.0} mg; the heaviest weigh {most_mg:.0} mg, so a weight or a count must be wrong"
)]
pub struct TooHeavy {
    /// Milligrams of one surviving larva, as computed.
    pub found_mg: f64,
    /// The most that is believed.
    pub most_mg: f64,
}

/// What becomes of some eggs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    /// Eggs, in grams.
    pub eggs_g: f64,
    /// Eggs, by count.
    pub eggs: f64,
    /// Hatched.
    pub hatchlings: f64,
    /// Alive at five days.
    pub five_day_olds: f64,
    /// Crates that they fill.
    pub crates: f64,
    /// Wet feed that they eat, in kilograms.
    pub feed_kg: f64,
    /// Alive at harvest.
    pub larvae: f64,
    /// Their weight, in kilograms.
    pub larvae_kg: f64,
    /// Pupae, if none were sold.
    pub pupae: f64,
}

impl Chain {
    /// The chain from `eggs_g` grams of eggs.
    #[must_use]
    pub fn from_eggs(eggs_g: f64, parameters: &Parameters) -> Self {
        let eggs = eggs_g * parameters.eggs_per_gram();
        let hatchlings = eggs * parameters.hatch_share;
        let five_day_olds = hatchlings * parameters.nursery_share;
        let larvae = five_day_olds * parameters.grow_out_share;
        Self {
            eggs_g,
            eggs,
            hatchlings,
            five_day_olds,
            crates: five_day_olds / parameters.crate_larvae,
            feed_kg: five_day_olds / 1000.0 * parameters.feed_kg_per_thousand,
            larvae,
            larvae_kg: larvae * parameters.larva_mg / 1e6,
            pupae: larvae * parameters.pupation_share,
        }
    }

    /// The chain that a daily amount of wet feed calls for.
    #[must_use]
    pub fn from_feed(feed_kg: f64, parameters: &Parameters) -> Self {
        let one = Self::from_eggs(1.0, parameters);
        Self::from_eggs(feed_kg / one.feed_kg, parameters)
    }
}

/// Checks a weight of larvae against the number that survived.
///
/// # Errors
/// When one larva would weigh more than the heaviest that were ever weighed.
pub fn weight_each(
    larvae_kg: f64,
    survivors: f64,
    parameters: &Parameters,
) -> Result<f64, TooHeavy> {
    let found_mg = larvae_kg * 1e6 / survivors.max(1e-9);
    let most_mg = parameters.larva_max_mg;
    if found_mg > most_mg {
        Err(TooHeavy { found_mg, most_mg })
    } else {
        Ok(found_mg)
    }
}

/// Pupae in a weight of them, in kilograms.
#[must_use]
pub fn pupae_in(kg: f64, parameters: &Parameters) -> f64 {
    kg * 1e6 / parameters.pupa_mg
}

/// Eggs of a stocking over its life, in grams: flies, females and clutches on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laying {
    /// Flies that emerge.
    pub adults: f64,
    /// Females among them.
    pub females: f64,
    /// Clutches that they lay into traps.
    pub clutches: f64,
    /// Grams of eggs.
    pub grams: f64,
}

impl Laying {
    /// Of a number of pupae.
    #[must_use]
    pub fn of(pupae: f64, parameters: &Parameters) -> Self {
        let adults = pupae * parameters.emergence_share;
        let females = adults * parameters.female_share;
        let clutches = females * parameters.laying_share;
        Self {
            adults,
            females,
            clutches,
            grams: clutches * parameters.clutch_mg / 1000.0,
        }
    }
}

/// How much of a supply must go back into cages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldBack {
    /// Pupae to stock.
    pub pupae: f64,
    /// Larvae that must be let pupate for them.
    pub larvae: f64,
    /// Five-day-old larvae that must be raised for them.
    pub five_day_olds: f64,
    /// The bare share of all five-day-olds, 0 to 1 (above 1: the colony cannot renew itself).
    pub share: f64,
    /// The share advised: the bare one and a safety stock, never above the ceiling unless the bare one is.
    pub advised: f64,
}

impl HoldBack {
    /// For a supply of `eggs_g` grams of eggs, of which `scale` times the table's are laid a pupa.
    #[must_use]
    pub fn of(eggs_g: f64, scale: f64, parameters: &Parameters) -> Self {
        let pupae = eggs_g / (parameters.grams_per_pupa() * scale.max(1e-6));
        let larvae = pupae / parameters.pupation_share;
        let five_day_olds = larvae / parameters.grow_out_share;
        let made = Chain::from_eggs(eggs_g, parameters).five_day_olds;
        let share = if made > 0.0 {
            five_day_olds / made
        } else {
            0.0
        };
        let advised = (2.0 * share)
            .max(parameters.hold_back_advice)
            .min(parameters.hold_back_most)
            .max(share);
        Self {
            pupae,
            larvae,
            five_day_olds,
            share,
            advised,
        }
    }
}
