//! The language of rules against an engine of templates that reads the same expressions and texts: random ones come to the same in both.

use minijinja::{Environment, UndefinedBehavior, Value};
use proptest::prelude::*;

use super::{Expr, Scope, Slot, render};
use crate::quantity::{Quantity, Round, Unit};
use crate::text;

const NUMBERS: [(&str, f64); 3] = [("gap", 22.5), ("rise", 40.0), ("fit.left", -3.25)];
const FLAGS: [(&str, bool); 3] = [("sound", true), ("known.gap", true), ("given.mass", false)];

fn scope() -> Scope {
    let mut scope = Scope::default();
    for (name, number) in NUMBERS {
        scope.set(name, number);
    }
    for (name, flag) in FLAGS {
        scope.set(name, flag);
    }
    scope.set("kind", "cable");
    scope
}

fn engine() -> Environment<'static> {
    let mut engine = Environment::new();
    engine.set_undefined_behavior(UndefinedBehavior::Strict);
    engine.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    let mm = |side| move |value: f64| text::mark(Quantity::exact(value, Unit::Mm), side);
    engine.add_filter("mm", mm(None));
    engine.add_filter("mm_up", mm(Some(Round::Up)));
    engine.add_function("near", |number: f64| (number * 1e6).round() / 1e6);
    engine
}

/// A random text as ours are written: what is compared is rounded without saying so.
fn ours(text: &str) -> String {
    text.replace("near(", "(")
}

fn context() -> Value {
    minijinja::context! {
        gap => 22.5, rise => 40.0, sound => true, kind => "cable",
        fit => minijinja::context! { left => -3.25 },
        known => minijinja::context! { gap => true },
        given => minijinja::context! { mass => false },
    }
}

fn number() -> impl Strategy<Value = String> {
    let name = prop::sample::select(NUMBERS.map(|(name, _)| name.to_owned()).to_vec());
    let written = (0_u32..2000).prop_map(|tenths| format!("{:.1}", f64::from(tenths) / 10.0));
    prop_oneof![name, written].prop_recursive(4, 24, 3, |of| {
        let sign = prop::sample::select(vec!["+", "-", "*", "/"]);
        prop_oneof![
            (of.clone(), sign, of.clone()).prop_map(|(a, sign, b)| format!("{a} {sign} {b}")),
            of.clone().prop_map(|a| format!("({a})")),
            of.clone().prop_map(|a| format!("-({a})")),
            of.clone().prop_map(|a| format!("({a}) | abs")),
            of.clone().prop_map(|a| format!("({a}) | round")),
            (of.clone(), of.clone()).prop_map(|(a, b)| format!("[{a}, {b}] | max")),
            (of.clone(), of.clone()).prop_map(|(a, b)| format!("([{a}, {b}] | min) ** 2")),
            (of.clone(), of.clone(), of)
                .prop_map(|(a, b, c)| format!("({a} if near({b}) > 1 else {c})")),
        ]
    })
}

fn condition() -> impl Strategy<Value = String> {
    let name = prop::sample::select(FLAGS.map(|(name, _)| name.to_owned()).to_vec());
    let sign = prop::sample::select(vec!["<", "<=", ">", ">=", "==", "!="]);
    let compared = (number(), sign.clone(), number());
    let compared = compared.prop_map(|(a, sign, b)| format!("near({a}) {sign} near({b})"));
    let chained = (number(), number(), number());
    let chained = chained.prop_map(|(a, b, c)| format!("near({a}) <= near({b}) < near({c})"));
    let word = Just("kind == 'cable'".to_owned());
    let among = Just("kind in ['rod', 'cable']".to_owned());
    prop_oneof![name, compared, chained, word, among].prop_recursive(3, 16, 2, |of| {
        prop_oneof![
            (of.clone(), of.clone()).prop_map(|(a, b)| format!("{a} and {b}")),
            (of.clone(), of.clone()).prop_map(|(a, b)| format!("{a} or {b}")),
            of.clone().prop_map(|a| format!("not {a}")),
            of.prop_map(|a| format!("({a})")),
        ]
    })
}

fn words() -> impl Strategy<Value = String> {
    let plain = "[a-z ,.}%'|-]{0,12}";
    let value = number().prop_map(|number| format!("{{{{ ({number}) | mm_up }}}}"));
    let word = Just("{{ kind }}".to_owned());
    prop_oneof![plain, value, word].prop_recursive(3, 16, 3, |of| {
        let either = (condition(), of.clone(), condition(), of.clone(), of.clone());
        prop_oneof![
            (of.clone(), of).prop_map(|(a, b)| a + &b),
            either.prop_map(|(when, a, other, b, c)| format!(
                "{{% if {when} %}}{a}{{% elif {other} %}}{b}{{% else %}}{c}{{% endif %}}"
            )),
        ]
    })
}

proptest! {
    #[test]
    fn a_number_is_what_the_other_engine_says(text in number()) {
        let ours = Expr::compile(&ours(&text)).unwrap().number(&scope());
        let engine = engine();
        let theirs = engine.compile_expression(&text).unwrap().eval(context());
        prop_assume!(theirs.is_ok(), "it divides by nothing");
        let theirs = f64::try_from(theirs.unwrap()).unwrap();
        match ours {
            Ok(ours) => prop_assert_eq!(ours.to_bits(), theirs.to_bits(), "{}", text),
            Err(_) => prop_assert!(!theirs.is_finite(), "{} is {}", text, theirs),
        }
    }

    #[test]
    fn a_condition_holds_as_the_other_engine_says(text in condition()) {
        let ours = Expr::compile(&ours(&text)).unwrap().holds(&scope());
        let engine = engine();
        let theirs = engine.compile_expression(&text).unwrap().eval(context());
        prop_assume!(theirs.is_ok(), "it divides by nothing");
        prop_assert_eq!(ours, Ok(theirs.unwrap().is_true()), "{}", text);
    }

    #[test]
    fn a_text_reads_as_the_other_engine_renders_it(text in words()) {
        prop_assume!(text.len() <= super::LONGEST, "no longer text is read");
        let theirs = engine().render_str(&text, context());
        prop_assume!(theirs.is_ok(), "it divides by nothing");
        let ours = render(&ours(&text), &scope()).unwrap();
        prop_assert_eq!(ours.marked(), theirs.unwrap(), "{}", text);
    }

    /// Whatever is typed is an expression or text, or is refused: nothing overflows or ends the program.
    #[test]
    fn anything_typed_ends_calmly(text in "([-a-z0-9.|()\\[\\]{}%'\" *<>=]|if |else |not ){0,80}") {
        let _ = Expr::compile(&text).and_then(|expression| expression.limit(&scope()));
        let _ = render(&text, &scope());
    }
}

#[test]
fn what_is_no_expression_is_refused_with_what_stands_there() {
    for (text, reason) in [
        ("gap >= >= 3", "unexpected `>=`"),
        ("gap >", "it ends too early"),
        ("(gap", "it ends too early, where `)` should stand"),
        (
            "gap if sound",
            "it ends too early, where `else` should stand",
        ),
        (
            "gap.left.end",
            "`gap.left.end` is no name; a field is written `name.field`",
        ),
        ("kind == 'cable", "a ' is not closed"),
        ("1.2.3", "`1.2.3` is no number"),
        (
            "gap | metres",
            "there is no filter `metres`; there are abs, round, min, max, and of units, with `_up` or `_down` behind them: mm, m, km, \
             deg, kg, N, kN, Nm, MPa, mm2, g, kmh, percent, number",
        ),
        ("gap = 3", "unexpected `=`; equal is `==`"),
        ("sound && sound", "unexpected `&`; write `and`"),
        ("sound || sound", "unexpected `||`; write `or`"),
        ("!sound", "unexpected `!`; write `not`, or `!=`"),
        ("gap is defined", "unexpected `is`"),
        ("gap ? 3", "unexpected `?`"),
        ("", "it ends too early"),
    ] {
        let refused = Expr::compile(text).unwrap_err();
        assert_eq!(refused.reason, reason, "{text}");
    }
    let deep = format!("{}gap{}", "(".repeat(100), ")".repeat(100));
    let refused = Expr::compile(&deep).unwrap_err();
    assert_eq!(refused.reason, "it is nested more than 60 deep");
}

/// Two choices can come to one name, as `8.8` and `8-8` do: the last one counts, and nothing stands there twice.
#[test]
fn a_field_given_twice_is_the_last_one() {
    let mut scope = Scope::default();
    scope.set_fields("class", [("a", 1.0), ("b", 2.0), ("a", 3.0)]);
    assert_eq!(scope.number("class.a"), Some(3.0));
    scope.set_fields("class", [("b", 4.0)]);
    assert!(!scope.knows("class.a") && scope.has_under(Slot::of("class")));
}

#[test]
fn a_limit_that_a_sum_meets_exactly_is_met() {
    for text in [
        "0.1 + 0.2 <= 0.3",
        "0.1 + 0.2 == 0.3",
        "0.1 + 0.2 in [0.3]",
        "gap * 3.3 >= 74.25",
    ] {
        assert_eq!(
            Expr::compile(text).unwrap().holds(&scope()),
            Ok(true),
            "{text}"
        );
    }
    let below = Expr::compile("0.299998 < 0.3").unwrap();
    assert_eq!(below.holds(&scope()), Ok(true));
}

#[test]
fn what_does_not_fit_is_refused_where_it_is_evaluated() {
    let of = |text: &str| Expr::compile(text).unwrap().holds(&scope()).unwrap_err();
    assert_eq!(of("gap").reason, "it gives a number, not yes or no");
    assert_eq!(
        of("gap and sound").reason,
        "it gives a number, not yes or no"
    );
    assert_eq!(
        of("nobody > 3").reason,
        "it names something that is not there"
    );
    assert_eq!(
        of("known").reason,
        "it names a list of answers, not yes or no: one of them is `name.answer`"
    );
    assert_eq!(
        of("kind > 3").reason,
        "it reckons with a word instead of a number"
    );
    assert_eq!(
        of("gap / (rise - rise) > 1").reason,
        "it comes to no number: something is divided by nought, or too large"
    );
    assert_eq!(
        of("[gap] | max > sound").reason,
        "it reckons with yes or no instead of a number"
    );
}

#[test]
fn what_is_no_text_is_refused_with_what_stands_there() {
    for (text, reason) in [
        ("{{ gap | mm", "a `}}` is missing"),
        ("{% if sound %}a", "an `{% if … %}` has no `{% endif %}`"),
        ("a{% endif %}", "unexpected `{% endif %}`"),
        (
            "{% if sound %}a{% else %}b{% else %}c{% endif %}",
            "unexpected `{% else %}`",
        ),
        (
            "{% for i in [1] %}a{% endfor %}",
            "unexpected `{% for i in [1] %}`",
        ),
        ("{# gap #}", "unexpected `{#`"),
        ("{{ sound }}", "it prints yes or no, not a word or number"),
    ] {
        let refused = render(text, &scope()).unwrap_err();
        assert_eq!(refused.reason, reason, "{text}");
    }
}
