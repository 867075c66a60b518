//! Who belongs to the invented cooperative Ziwani Fly Growers, and what is going on at each farm.
//!
//! Names, wards and numbers are made up. Numbers ending in 190 to 199 stay free, for trying what an unknown phone is told.

use crate::domain::Role;
use crate::domain::phone::PhoneNumber;

/// The cooperative.
pub const COOP_NAME: &str = "Ziwani Fly Growers";
/// What `join` asks for.
pub const JOIN_CODE: &str = "ZIWANI";
/// Where it is: an invented lakeside district in Tanzania.
pub const ZONE: chrono_tz::Tz = chrono_tz::Africa::Dar_es_Salaam;
/// Its wards.
pub const WARDS: [&str; 5] = ["Ufukwe", "Mlimani", "Bandari", "Msitu", "Kisima"];
/// Farms.
pub const FARMS: u8 = 40;
/// Number (its last three digits) of the first farm; the others follow.
const FIRST_FARM: u8 = 101;
/// The officer's number.
pub const OFFICER: u8 = 180;
/// The collector's number.
pub const COLLECTOR: u8 = 181;

/// What is going on at a farm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Story {
    /// Years of practice, a line every morning.
    Steady,
    /// Two cages, stocked not two weeks ago.
    New,
    /// No bait for weeks: flies lay elsewhere and eggs dwindle.
    NoBait,
    /// A week of heat.
    Heat,
    /// Nothing heard for nine days.
    Silent,
    /// Writes as it comes, and not every day.
    Sloppy,
    /// As most are.
    Plain,
}

/// One person of the cooperative.
#[derive(Clone, Debug)]
pub struct Person {
    /// The number's last three digits.
    pub digits: u8,
    /// Invented given name.
    pub name: &'static str,
    /// Index into [`WARDS`].
    pub ward: usize,
    /// What they may do.
    pub role: Role,
    /// Their farm, where they keep one.
    pub farm: Option<FarmPlan>,
}

/// A farm as the generator sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FarmPlan {
    /// What is going on.
    pub story: Story,
    /// Cages, named C1 and up.
    pub cages: u8,
}

impl Person {
    /// `+255700000101` for 101.
    #[must_use]
    pub fn phone(&self) -> PhoneNumber {
        number(self.digits)
    }

    /// The ward's name.
    #[must_use]
    pub fn ward_name(&self) -> &'static str {
        WARDS.get(self.ward).copied().unwrap_or("Ufukwe")
    }
}

/// The invented number that ends in `digits`.
#[must_use]
pub fn number(digits: u8) -> PhoneNumber {
    PhoneNumber::new(&format!("+255700000{digits:03}"))
        .expect("twelve digits after a plus are a number")
}

/// Invented given names, one for each farm.
const NAMES: [&str; FARMS as usize] = [
    "Asheni", "Barako", "Chiweni", "Daluma", "Elisimu", "Fahiro", "Gatuli", "Hasiri", "Imbeko",
    "Jolinda", "Kesaro", "Lumeta", "Mawazi", "Nuruli", "Okembi", "Pendara", "Rashuli", "Salimo",
    "Tumari", "Upesio", "Vumira", "Wamalo", "Yasinda", "Zubeka", "Amasiro", "Bahilo", "Cheruni",
    "Dunalo", "Elimara", "Furaho", "Gimbari", "Halimbo", "Isayo", "Jembera", "Kiboru", "Lisamo",
    "Mshindo", "Nalika", "Omaru", "Penzila",
];

/// The first six farms have a story each.
const STORIES: [FarmPlan; 6] = [
    plan(Story::Steady, 8),
    plan(Story::New, 2),
    plan(Story::NoBait, 5),
    plan(Story::Heat, 6),
    plan(Story::Silent, 4),
    plan(Story::Sloppy, 5),
];

const fn plan(story: Story, cages: u8) -> FarmPlan {
    FarmPlan { story, cages }
}

/// Cages of the other farms, over and over: mostly small, as smallholders are.
const CAGES: [u8; 5] = [3, 4, 5, 6, 4];

/// Everybody, farms first.
#[must_use]
pub fn people() -> Vec<Person> {
    let farms = (0..FARMS).zip(NAMES).map(|(i, name)| {
        let at = usize::from(i);
        let others = CAGES[at % CAGES.len()];
        Person {
            digits: FIRST_FARM + i,
            name,
            ward: at % WARDS.len(),
            role: Role::Keeper,
            farm: Some(
                STORIES
                    .get(at)
                    .copied()
                    .unwrap_or(plan(Story::Plain, others)),
            ),
        }
    });
    let staff = [
        (OFFICER, "Ruzimo", 0, Role::Officer),
        (COLLECTOR, "Sefuna", 2, Role::Collector),
    ];
    let staff = staff.map(|(digits, name, ward, role)| Person {
        digits,
        name,
        ward,
        role,
        farm: None,
    });
    farms.chain(staff).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forty_farms_keep_about_180_cages_and_free_numbers_stay_free() {
        let people = people();
        let cages: u32 = people
            .iter()
            .filter_map(|person| person.farm)
            .map(|farm| u32::from(farm.cages))
            .sum();
        assert_eq!(people.iter().filter(|p| p.farm.is_some()).count(), 40);
        assert!((175..=185).contains(&cages), "{cages} cages");
        let mut digits: Vec<_> = people.iter().map(|person| person.digits).collect();
        digits.dedup();
        assert_eq!(digits.len(), people.len());
        assert!(digits.iter().all(|d| (100..190).contains(d)));
        assert_eq!(people[0].phone().full(), "+255700000101");
    }
}
