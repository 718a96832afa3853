//! Words that may stand beside a food without making it another food.

use std::collections::HashSet;
use std::sync::LazyLock;

use tamis_scoring::dish::FoodClass;

/// Quality, colour, size, cut, containers, filler.
const NEUTRAL: &str = "a an the of and or with in on at by from each per about approx extra more some few any your my \
    fresh freshly organic natural raw ripe firm tender young baby mini mature new good quality best finest premium \
    fine finely coarse coarsely rough roughly thin thinly thick thickly light lightly dark deep very well plain pure real \
    free range cage local seasonal homemade home made house style favourite favorite leftover lean virgin \
    cold hot warm warmed room temperature chilled cooled softened soft melted frozen thawed defrosted refrigerated \
    large medium small big tiny little giant jumbo xl long short whole half halved quarter quartered third piece \
    chopped diced minced sliced grated shredded crushed cubed julienne julienned cut torn crumbled peeled unpeeled \
    trimmed cored pitted stoned seeded deseeded seedless halve chunk cube strip wedge slice slicing dice chop mince spear \
    matchstick baton ribbon shaved zested juiced squeezed beaten whisked sifted packed heaped heaping level scant \
    rounded generous loosely tightly washed cleaned rinsed scrubbed drained patted strained \
    boneless skinless boned skinned unsalted salted unsweetened uncooked \
    red green yellow white brown purple golden pale bright color colour assorted \
    clove head bunch bulb stalk sprig stem floret heart top bottom end part tip knob thumb handful pinch dash \
    splash drizzle drop cup tablespoon tbsp teaspoon tsp ounce oz pound lb gram g kg ml l litre liter pint quart gallon \
    can tin jar packet pack pkt pkg package bag box bottle carton tub tube container block sheet slice fillet sachet \
    ea pc pcs ct doz dozen ep ap only inch cm mm sized size serving garnish taste needed desired divided \
    iqf rte catering commercial prepared store bought shop ready use all purpose \
    flat curly italian english french hass persian vine ripened heirloom \
    table sea kosher iodised iodized cooking granulated caster castor superfine \
    tart idaho yukon russet boston unbleached bleached unflavored unflavoured unblanched sweetcream \
    lukewarm boiling tap filtered still day old stale rustic crusty approximately additional";

/// Ways of cooking: the food stays what it is, even where the catalogue does not hold the state.
const COOKED: &str = "cooked boiled steamed fried roasted grilled baked blanched toasted sauteed simmered poached braised \
    broiled charred caramelised caramelized browned griddled canned";

/// Shapes that leave a vegetable a vegetable, and make something else of cheese or fish.
const VEGETABLE_SHAPES: &str = "stick round coin disc shaving";

/// Cuts of meat and fish: what they leave out of a meat is nothing fermentable.
const CUTS: &str = "breast thigh leg wing drumstick loin shoulder rib chop steak mince ground fillet filet rump sirloin \
    belly shank neck cheek brisket flank skirt ribeye tenderloin stew stewing braising roast roasting joint carcass bone back \
    tail cutlet escalope medallion strip tender lean rack chuck round topside silverside trimming meat smoked cured  \
    portion side slab skin hock knuckle goujon wild farmed sustainable shell-on peeled deveined shelled";

/// After `in`: the liquid a food is packed in, where it brings nothing fermentable.
pub(crate) const CARRIERS: &[&[&str]] = &[
    &["spring", "water"],
    &["water"],
    &["brine"],
    &["salted", "water"],
    &["olive", "oil"],
    &["sunflower", "oil"],
    &["vegetable", "oil"],
    &["oil"],
];

/// Claims that leave a food itself alone.
pub(crate) const CLAIMS: &[&[&str]] = &[
    &["no", "added", "salt"],
    &["no", "salt", "added"],
    &["without", "salt"],
    &["without", "added", "salt"],
    &["low", "salt"],
    &["reduced", "salt"],
    &["low", "sodium"],
    &["reduced", "sodium"],
    &["less", "sodium"],
    &["sodium", "reduced"],
    &["low", "fat"],
    &["reduced", "fat"],
    &["fat", "free"],
    &["full", "fat"],
    &["free", "range"],
];

/// Words that open the purpose of an ingredient: what follows is not its name.
pub(crate) const PURPOSE: &[&str] = &[
    "for", "to", "optional", "plus", "such", "eg", "if", "until", "as", "see",
];

fn set(list: &'static str) -> HashSet<&'static str> {
    list.split_whitespace().flat_map(|w| w.split('-')).collect()
}

static NEUTRAL_SET: LazyLock<HashSet<&'static str>> = LazyLock::new(|| set(NEUTRAL));
static COOKED_SET: LazyLock<HashSet<&'static str>> = LazyLock::new(|| set(COOKED));
static SHAPE_SET: LazyLock<HashSet<&'static str>> = LazyLock::new(|| set(VEGETABLE_SHAPES));
static CUT_SET: LazyLock<HashSet<&'static str>> = LazyLock::new(|| set(CUTS));

/// Whether a word never changes which food is meant.
pub(crate) fn is_neutral(word: &str) -> bool {
    NEUTRAL_SET.contains(word) || word.bytes().all(|b| b.is_ascii_digit() || b == b'%')
}

/// Whether a word is a way of cooking.
pub(crate) fn is_cooked(word: &str) -> bool {
    COOKED_SET.contains(word)
}

/// Whether a word says nothing new of a food of this class and family: a cut of meat, the kind
/// that a name already implies (`parmesan cheese`, `jalapeno pepper`).
pub(crate) fn is_implied(word: &str, class: FoodClass, family: &str) -> bool {
    match class {
        FoodClass::Meat | FoodClass::Fish => CUT_SET.contains(word),
        FoodClass::Vegetable => {
            SHAPE_SET.contains(word)
                || word == "leaf"
                || (family == "solanaceae" && word == "pepper")
                || (family == "amaryllidaceae" && word == "greens")
        }
        FoodClass::Dairy => word == "cheese",
        FoodClass::NutSeed => matches!(word, "nut" | "kernel"),
        FoodClass::Drink => word == "wine",
        FoodClass::HerbSpice => matches!(word, "herb" | "leaf" | "spice"),
        _ => false,
    }
}
