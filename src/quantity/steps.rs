//! The numbers of a range, counted off in decimal so that no float noise shows.

use rust_decimal::Decimal;

use super::Number;

/// More numbers than any range on a worksheet needs.
const MOST: usize = 100_000;

/// `from`, `from + step`, ... up to `to`, each with the decimals of the most
/// finely typed of the three.
///
/// # Errors
/// Says in a few words why the range cannot be counted off.
pub fn steps(from: &Number, to: &Number, step: &Number) -> Result<Vec<Number>, String> {
    let decimal = |number: &Number| {
        Decimal::from_str_exact(&number.text)
            .or_else(|_| Decimal::from_scientific(&number.text))
            .map_err(|_| format!("`{}` is no plain decimal number", number.text))
    };
    let (first, last, by) = (decimal(from)?, decimal(to)?, decimal(step)?);
    if by <= Decimal::ZERO {
        return Err("the step must be more than zero".to_owned());
    }
    if first > last {
        return Err("it ends before it begins".to_owned());
    }
    let places = from.places.max(to.places).max(step.places);
    let mut numbers = Vec::new();
    let mut next = first;
    while next <= last {
        if numbers.len() == MOST {
            return Err("it holds more than 100 000 numbers".to_owned());
        }
        let text = format!("{next:.*}", places as usize);
        numbers.push(Number::parse(&text).map_err(|error| error.message)?);
        next = next.checked_add(by).ok_or("its numbers are too large")?;
    }
    if next - by != last {
        return Err(format!("the step passes over its end, {}", to.text));
    }
    Ok(numbers)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(from: &str, to: &str, step: &str) -> Result<Vec<String>, String> {
        let number = |t: &str| Number::parse(t).expect("a number");
        steps(&number(from), &number(to), &number(step))
            .map(|all| all.into_iter().map(|n| n.text).collect())
    }

    #[test]
    fn decimals_are_kept_and_ends_must_meet() {
        assert_eq!(texts("4", "5", "0.5").expect("a range"), ["4.0", "4.5", "5.0"]);
        assert_eq!(texts("0.1", "0.4", "0.1").expect("a range"), ["0.1", "0.2", "0.3", "0.4"]);
        assert!(texts("1", "10", "4").is_err());
        assert!(texts("5", "1", "1").is_err());
        assert!(texts("1", "5", "0").is_err());
    }
}
