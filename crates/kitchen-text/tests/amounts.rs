//! Every way to write an amount that kitchens use, and what it comes to.

use rstest::rstest;
use tamis_kitchen_text::{Amount, DoubtKind, Negation, Part, Size, read_line};

fn shown(amount: &Amount) -> String {
    match &amount.each {
        Some(each) => format!(
            "{} {} of {} {}",
            amount.quantity, amount.unit, each.quantity, each.unit
        ),
        None => format!("{} {}", amount.quantity, amount.unit),
    }
}

fn amounts(text: &str) -> Vec<String> {
    read_line(text, 1).amounts.iter().map(shown).collect()
}

#[rstest]
// numbers
#[case("1½ c milk", "1.5 cup")]
#[case("1 ½ c milk", "1.5 cup")]
#[case("1 1/2c milk", "1.5 cup")]
#[case("1-1/2 cups milk", "1.5 cup")]
#[case("1-½ cups milk", "1.5 cup")]
#[case("1 1⁄2 cups milk", "1.5 cup")]
#[case("1.5 C milk", "1.5 cup")]
#[case(".5 c milk", "0.5 cup")]
#[case("1 and 1/2 c milk", "1.5 cup")]
#[case("6-1/2 gal water", "6.5 gallon")]
#[case("3/4 oz cheese", "0.75 oz")]
#[case("half a lemon", "0.5 each")]
#[case("two onions", "2 each")]
#[case("0 g garlic", "0 g")]
#[case("1,5 kg flour", "1.5 kg")]
#[case("1.500 kg flour", "1.5 kg")]
#[case("1,500 g flour", "1500 g")]
#[case("1.234,5 g flour", "1234.5 g")]
#[case("1,234.5 g flour", "1234.5 g")]
#[case("1e3 g flour", "1000 g")]
// ranges
#[case("3-4 cloves garlic", "3-4 clove")]
#[case("3 - 4 cloves garlic", "3-4 clove")]
#[case("3–4 cloves garlic", "3-4 clove")]
#[case("3 -4oz cheese", "3-4 oz")]
#[case("8 to 10 prawns", "8-10 each")]
#[case("10 or 12 prawns", "10-12 each")]
#[case("600 g - 900 g cauliflower", "600-900 g")]
#[case("~600-900 g cauliflower", "600-900 g")]
#[case("1-2 1/2 cups stock", "1-2.5 cup")]
#[case("4-3 cloves garlic", "3-4 clove")]
// weight and volume
#[case("10# onions", "10 lb")]
#[case("6 # onions", "6 lb")]
#[case("6 oz wt cheddar", "6 oz-weight")]
#[case("6 oz by wt cheddar", "6 oz-weight")]
#[case("8 fl oz milk", "8 fl-oz")]
#[case("8 imp fl oz milk", "8 imperial-fl-oz")]
#[case("1 imperial pint milk", "1 imperial-pint")]
#[case("1 metric cup rice", "1 metric-cup")]
#[case("2 dl cream", "2 dl")]
#[case("2 cl brandy", "2 cl")]
#[case("12 cl garlic", "12 clove")]
#[case("1 c. milk", "1 cup")]
#[case("250cc water", "250 ml")]
#[case("2 T oil", "2 tbsp")]
#[case("2 t oil", "2 tsp")]
#[case("2 tbs oil", "2 tbsp")]
#[case("2 TBSPN oil", "2 tbsp")]
#[case("1-lb bag spinach", "1 bag of 1 lb")]
// sums
#[case("4 lb 5-1/2 oz beef", "69.5 oz-weight")]
#[case("1 c + 2 T sugar", "18 tbsp")]
#[case("1 kg 200 g flour", "1200 g")]
// packs and tools
#[case("6 x 400 g tins tomatoes", "6 can of 400 g")]
#[case("2 × 400g tins tomatoes", "2 can of 400 g")]
#[case("chickpeas 3 tins 400g", "3 can of 400 g")]
#[case("tomatoes 2 tins (400 g each)", "2 can of 400 g")]
#[case("1 (14 oz) can beans", "1 can of 14 oz")]
#[case("400 g tin beans", "1 can of 400 g")]
#[case("Red wine 1 btl (750 ml)", "1 bottle of 750 ml")]
#[case("2x4oz salmon", "2 each of 4 oz")]
#[case("Cod fillets 4 oz wt x 50", "50 each of 4 oz-weight")]
#[case("falafel 4 pc x 35 g", "4 piece of 35 g")]
#[case("1 #10 can tomatoes", "1 #10-can")]
#[case("1 No.10 can tomatoes", "1 #10-can")]
#[case("1 A10 tin tomatoes", "1 #10-can")]
#[case("6/#10 peaches", "6 #10-can")]
#[case("pumpkin pur 1 #2-1/2", "1 #2-1/2-can")]
#[case("1 #303 can peas", "1 #303-can")]
#[case("#10 scoop mash", "1 #10-disher")]
#[case("rice ckd #8", "1 #8-disher")]
#[case("rice 60 x #8", "60 each of 1 #8-disher")]
#[case("soup 6 oz L", "1 6-fl-oz-ladle")]
#[case("soup L6", "1 6-fl-oz-ladle")]
#[case("peaches 4 oz spoodle perf", "1 4-fl-oz-perforated-spoodle")]
#[case("peaches sp4", "1 4-fl-oz-spoodle")]
#[case("1 full hotel pan rice", "1 hotel-pan")]
#[case("1 sleeve crackers", "1 sleeve")]
// counts
#[case("1 bulb garlic", "1 bulb")]
#[case("1 hd garlic", "1 head")]
#[case("1 clove garlic", "1 clove")]
#[case("parsley 2 bu", "2 bunch")]
#[case("2 stk celery", "2 stalk")]
#[case("2 stk butter", "2 stick")]
#[case("2 knobs ginger", "2 knob")]
#[case("pinch salt", "1 pinch")]
#[case("handful parsley", "1 handful")]
#[case("1 doz eggs", "12 each")]
#[case("1/2 dozen eggs", "6 each")]
#[case("bay 6", "6 each")]
#[case("juice of 1 lemon", "1 each")]
#[case("levain 20%", "20 percent")]
// no amounts in these
#[case("2% milk 1 gal", "1 gallon")]
#[case("50/50 butter blend 2 kg", "2 kg")]
#[case("00 flour 1 kg", "1 kg")]
#[case("tofu 2 lb, pressed 30 min", "2 lb")]
fn one_amount(#[case] text: &str, #[case] wanted: &str) {
    assert_eq!(amounts(text), [wanted]);
}

#[rstest]
#[case("450 g (1 lb) flour", &["450 g", "1 lb"])]
#[case("1kg/2.2lb potatoes", &["1 kg", "2.2 lb"])]
#[case("milk 200 ml = 7 fl oz", &["200 ml", "7 fl-oz"])]
#[case("225 g (8 oz) butter", &["225 g", "8 oz-weight"])]
#[case("1 cup (8 oz) milk", &["1 cup", "8 fl-oz"])]
#[case("Cauliflower 1 hd ~600-900 g -> florets", &["1 head", "600-900 g"])]
#[case("2 large eggs (100 g)", &["2 each", "100 g"])]
fn the_same_amount_twice(#[case] text: &str, #[case] wanted: &[&str]) {
    let line = read_line(text, 1);
    assert_eq!(line.amounts.iter().map(shown).collect::<Vec<_>>(), wanted);
    assert!(
        line.doubts.iter().all(|d| d.kind == DoubtKind::Approximate),
        "{:?}",
        line.doubts
    );
}

#[test]
fn totals_multiply_what_each_holds() {
    let line = read_line("6 x 400 g tins tomatoes", 1);
    let grams = line.amounts[0].grams().and_then(|q| q.bounds()).unwrap();
    assert_eq!((grams.0.get(), grams.1.get()), (2400.0, 2400.0));
    assert!(line.amounts[0].millilitres().is_none());
    let line = read_line("2-3 x 100-200 g fillets", 1);
    let grams = line.amounts[0].grams().and_then(|q| q.bounds()).unwrap();
    assert_eq!((grams.0.get(), grams.1.get()), (200.0, 600.0));
}

#[test]
fn spans_point_at_the_amount() {
    let text = "crème fraîche 1-1/2 cups";
    let line = read_line(text, 1);
    let span = line.amounts[0].span;
    assert_eq!(span.of(&line.text), "1-1/2 cups");
    assert_eq!(span.column(&line.text), 15);
}

#[rstest]
#[case("Onions yel 6# AP rough cut", "Onions yel", &["rough cut"])]
#[case("200 ea LG eggs", "eggs", &[])]
#[case("2 x 400 g tins chickpeas, drained and rinsed", "chickpeas", &["drained and rinsed"])]
#[case("1 c finely chopped onion", "onion", &["finely chopped"])]
#[case("1 c small dice carrot", "carrot", &["small dice"])]
#[case("garlic 8-10 cloves (to taste)", "garlic", &["to taste"])]
#[case("2 cups of milk", "milk", &[])]
#[case("chix, ckd diced 10#", "chix", &["ckd diced"])]
#[case("8 oz wt, cheddar", "cheddar", &[])]
#[case("dry chickpeas 2 kg, soaked 18h DISCARD water", "dry chickpeas", &["soaked 18h DISCARD water"])]
#[case("amba 20 g (mango)", "amba", &["mango"])]
#[case("mango fish 140°C 20 min", "mango fish 140°C 20 min", &[])]
fn food_and_preparation(#[case] text: &str, #[case] food: &str, #[case] preparation: &[&str]) {
    let line = read_line(text, 1);
    assert_eq!(line.food_text, food);
    assert_eq!(line.preparation, preparation);
}

#[rstest]
#[case("1 bunch scallions, green part only", Part::GreenTops)]
#[case("scallion greens 1#", Part::GreenTops)]
#[case("leek tops 500 g", Part::GreenTops)]
#[case("leek 200 g, white part only", Part::White)]
#[case("scallion 20 g, no greens", Part::White)]
#[case("scallion 20 g, white and green", Part::Whole)]
#[case("parsley stems 1 bu", Part::Stems)]
#[case("egg whites only 30 g", Part::Unstated)]
#[case("whole milk 1 gal", Part::Unstated)]
fn parts_of_plants(#[case] text: &str, #[case] wanted: Part) {
    assert_eq!(read_line(text, 1).part, wanted);
}

#[rstest]
#[case("2 lg onions", Size::Large)]
#[case("onion 2 lg, diced", Size::Large)]
#[case("1 medium onion", Size::Medium)]
#[case("Fresh banana, petite, 1/2 ea.", Size::Petite)]
#[case("3 XL eggs", Size::ExtraLarge)]
#[case("1 small dice carrot", Size::Unstated)]
fn sizes(#[case] text: &str, #[case] wanted: Size) {
    assert_eq!(read_line(text, 1).size, wanted);
}

#[test]
fn sub_recipes_and_statements_are_kept() {
    let line = read_line("garlic oil (IO-01) 2 c", 1);
    assert_eq!(
        (line.food_text.as_str(), line.reference.as_deref()),
        ("garlic oil", Some("IO-01"))
    );
    let line = read_line("SB-02 3 gal", 1);
    assert_eq!(
        (line.food_text.as_str(), line.reference.as_deref()),
        ("SB-02", Some("SB-02"))
    );
    let line = read_line(
        "Gravy mix 1 pkg (14 oz: \"wheat flour, maltodextrin, onion powder\")",
        1,
    );
    assert_eq!(
        line.statement.as_deref(),
        Some("wheat flour, maltodextrin, onion powder")
    );
    assert_eq!(shown(&line.amounts[0]), "1 package of 14 oz");
    let line = read_line("Brioche bun 1 ea (bun: wheat flour, sugar, butter)", 1);
    assert_eq!(
        line.statement.as_deref(),
        Some("wheat flour, sugar, butter")
    );
}

#[test]
fn what_is_left_out_is_told_from_what_is_there() {
    let stock = read_line("stock, no onion, 2 L", 1);
    assert_eq!(stock.food_text, "stock");
    assert_eq!(stock.negation, Negation::Within(vec!["onion".into()]));
    let eggs = read_line("12 free range eggs", 1);
    assert_eq!(eggs.negation, Negation::None);
}

#[rstest]
#[case("2 14 oz cans coconut milk", 2.0, "can", 14.0, "coconut milk")]
#[case("1 14-ounce can coconut milk", 1.0, "can", 14.0, "coconut milk")]
#[case("1 (14-ounce) can coconut milk", 1.0, "can", 14.0, "coconut milk")]
#[case("2 6-ounce fillets cod", 2.0, "fillet", 6.0, "cod")]
#[case("2 (6 oz) fillets cod", 2.0, "fillet", 6.0, "cod")]
#[case("1/2 (14 oz) block firm tofu", 0.5, "block", 14.0, "firm tofu")]
#[case("4 5-oz chicken breasts", 4.0, "each", 5.0, "chicken breasts")]
fn a_size_beside_a_number_is_that_of_each(
    #[case] line: &str,
    #[case] count: f64,
    #[case] unit: &str,
    #[case] ounces: f64,
    #[case] food: &str,
) {
    let read = read_line(line, 1);
    let amount = &read.amounts[0];
    assert_eq!(amount.unit.to_string(), unit, "{read:?}");
    assert_eq!(amount.quantity.bounds().unwrap().0.get(), count);
    let (low, high) = amount.grams().unwrap().bounds().unwrap();
    let whole = count * ounces * 28.349_523_125;
    assert!(
        (low.get() - whole).abs() < 1e-9 && low == high,
        "{amount:?}"
    );
    assert_eq!(read.food_text, food);
    assert_eq!(read.amounts.len(), 1);
}

#[rstest]
#[case("2 lb boneless, skinless chicken breasts", "skinless chicken breasts")]
#[case("1 cup fresh or canned chicken broth", "canned chicken broth")]
#[case("1 tbsp fresh thyme or 1 teaspoon dried", "fresh thyme")]
#[case("4 red, ripe tomatoes", "ripe tomatoes")]
#[case("200 g cooked, drained white beans", "white beans")]
fn qualities_alone_name_no_food(#[case] line: &str, #[case] food: &str) {
    let read = read_line(line, 1);
    assert_eq!(read.food_text, food, "{read:?}");
    assert!(read.alternatives.is_empty(), "{read:?}");
}
