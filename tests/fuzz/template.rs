//! Text → an expression, a text template of a rule file: compiled, evaluated and rendered with numbers: it ends, and it fails calmly.
#![no_main]

use libfuzzer_sys::fuzz_target;
use liftsheet::rules::expression::{Expr, Scope, names_in_text, render};

fuzz_target!(|text: &str| {
    let mut scope = Scope::default();
    scope.set("rise", 40.0);
    scope.set("sound", true);
    if let Ok(expression) = Expr::compile(text) {
        let _ = expression.holds(&scope);
        let _ = expression.number(&scope);
        let _ = expression.limit(&scope);
        let _ = expression.input(&scope);
    }
    let _ = names_in_text(text);
    if let Ok(text) = render(text, &scope) {
        let said = text.print(liftsheet::quantity::Units::Inch);
        assert!(said.len() < 64 << 20, "a text grows without end");
    }
});
