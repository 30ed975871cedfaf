//! `latency`: describes a column of latencies and fits distributions to it.

use serde_json::{Map, Value, json};

use super::args::LatencyArgs;
use super::column::{self, Group, Wanted};
use super::{Done, Trouble};
use crate::problem::Problem;
use crate::stats::Sample;
use crate::stats::latency::{ExGaussian, FitError, Law, Lognormal, Observations, Wald};
use crate::store;

/// The distributions that can be fitted.
pub(super) const MODELS: [&str; 3] = [ExGaussian::NAME, Lognormal::NAME, Wald::NAME];

/// What `--help` says about the JSON.
pub(super) const JSON_HELP: &str = "\
JSON, for each group (all values in the given unit):
  unit, n (all values), censored, mean and sd (of the values seen; sd with n - 1)
  quantiles        by share, interpolated linearly; null where one lies among the censored values
  models           for each: name, params, standard_errors (null at the edge of the family), loglik, aic
    exgauss        mu, sigma (Normal part), tau (mean of the exponential part)
    lognormal      shift, mu, sigma (of the natural logarithm above the shift)
    wald           shift, threshold (in roots of the unit), drift (per root of the unit)
  no_fit           why nothing was fitted, or null
  group            the value of the `--by` column, where given";

/// No column is larger, in bytes: some fifty million latencies.
const LARGEST: u64 = 1 << 29;

/// The quantiles that are told.
const SHARES: [f64; 7] = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95];

pub(super) fn run(args: &LatencyArgs) -> Done {
    let file = args.file.display().to_string();
    let bytes = store::read_at_most(&args.file, LARGEST, "split the file")?;
    let text =
        String::from_utf8(bytes).map_err(|_| Problem::error(&file, None, "it is no text", "save it as UTF-8"))?;
    let wanted = Wanted { column: args.column.as_deref(), by: args.by.as_deref() };
    let groups = column::read(&file, &text, wanted).map_err(Trouble::Input)?;
    let described: Vec<Described<'_>> = groups.iter().map(|group| Described::of(group, &args.model)).collect();
    if args.json {
        print_json(args, &described);
    } else {
        described.iter().for_each(|found| found.print(args));
    }
    Ok(())
}

fn print_json(args: &LatencyArgs, described: &[Described<'_>]) {
    let objects = described.iter().map(|found| found.json(args));
    match &args.by {
        Some(_) => say!("{}", Value::from_iter(objects)),
        None => objects.for_each(|object| say!("{object}")),
    }
}

/// What is known of a group.
struct Described<'a> {
    group: &'a Group,
    /// The values seen; none where all are censored.
    seen: Option<Sample>,
    /// All values, a censored one counting as its limit.
    all: Sample,
    models: Result<Vec<Fitted>, FitError>,
}

/// A fitted distribution under its name, with its parameters and their standard errors.
struct Fitted {
    name: &'static str,
    parameters: [(&'static str, f64); 3],
    errors: Option<[f64; 3]>,
    log_likelihood: f64,
    akaike: f64,
}

impl Fitted {
    fn named(name: &str, observations: &Observations<'_>) -> Result<Fitted, FitError> {
        match name {
            Lognormal::NAME => Fitted::of::<Lognormal>(observations),
            Wald::NAME => Fitted::of::<Wald>(observations),
            _ => Fitted::of::<ExGaussian>(observations),
        }
    }

    fn of<L: Law>(observations: &Observations<'_>) -> Result<Fitted, FitError> {
        let fit = L::fit(observations)?;
        let values = fit.model.parameters();
        let parameters = std::array::from_fn(|index| (L::PARAMETERS[index], values[index]));
        let (errors, log_likelihood, akaike) = (fit.standard_errors, fit.log_likelihood, fit.akaike());
        Ok(Fitted { name: L::NAME, parameters, errors, log_likelihood, akaike })
    }

    fn json(&self) -> Value {
        let params: Map<String, Value> =
            self.parameters.iter().map(|(name, value)| ((*name).into(), Value::from(*value))).collect();
        let errors: Option<Map<String, Value>> = self.errors.map(|errors| {
            self.parameters.iter().zip(errors).map(|((name, _), error)| ((*name).into(), Value::from(error))).collect()
        });
        json!({
            "name": self.name,
            "params": params,
            "standard_errors": errors,
            "loglik": self.log_likelihood,
            "aic": self.akaike,
        })
    }

    fn print(&self) {
        say!("  {}: log-likelihood {:.4}, AIC {:.4}", self.name, self.log_likelihood, self.akaike);
        for (index, (name, value)) in self.parameters.iter().enumerate() {
            match self.errors {
                Some(errors) => say!("    {name} {value:.6} (standard error {:.6})", errors[index]),
                None => say!("    {name} {value:.6} (no standard error: the fit lies at the edge of its family)"),
            }
        }
    }
}

impl Described<'_> {
    /// Fits the named models, or all where none is named.
    fn of<'a>(group: &'a Group, models: &[String]) -> Described<'a> {
        let observations = Observations { seen: &group.seen, censored: &group.censored, ..Observations::default() };
        let chosen = |name: &&str| models.is_empty() || models.iter().any(|model| model == name);
        let models = MODELS.into_iter().filter(chosen).map(|name| Fitted::named(name, &observations)).collect();
        let all = group.seen.iter().chain(&group.censored).copied().collect();
        let all = Sample::new(all).expect("a group has a value and the reader takes finite ones only");
        Described { group, seen: Sample::new(group.seen.clone()).ok(), all, models }
    }

    /// The quantile of all values, which is known as far as it lies below every limit of a censored one.
    fn quantile(&self, share: f64) -> Option<f64> {
        let known = self.group.censored.iter().copied().fold(f64::INFINITY, f64::min);
        Some(self.all.quantile(share)).filter(|value| *value < known)
    }

    fn quantiles(&self) -> impl Iterator<Item = (f64, Option<f64>)> {
        SHARES.into_iter().map(|share| (share, self.quantile(share)))
    }

    fn all(&self) -> usize {
        self.group.seen.len() + self.group.censored.len()
    }

    fn json(&self, args: &LatencyArgs) -> Value {
        let quantiles: Map<String, Value> =
            self.quantiles().map(|(share, value)| (share.to_string(), Value::from(value))).collect();
        let mut object = json!({
            "unit": args.unit,
            "n": self.all(),
            "censored": self.group.censored.len(),
            "mean": self.seen.as_ref().map(Sample::mean),
            "sd": self.seen.as_ref().and_then(Sample::sd),
            "quantiles": quantiles,
            "models": self.models.iter().flatten().map(Fitted::json).collect::<Vec<_>>(),
            "no_fit": self.models.as_ref().err().map(FitError::to_string),
        });
        if args.by.is_some() {
            object["group"] = Value::from(self.group.name.as_str());
        }
        object
    }

    fn print(&self, args: &LatencyArgs) {
        let whose = if args.by.is_some() { &self.group.name } else { &args.file.display().to_string() };
        say!("{whose}, in {}", args.unit);
        say!("  {} values, {} of them censored", self.all(), self.group.censored.len());
        if let Some(seen) = &self.seen {
            let spread = seen.sd().map_or(String::new(), |sd| format!(", standard deviation {sd:.6}"));
            say!("  seen: mean {:.6}{spread}", seen.mean());
        }
        for (share, value) in self.quantiles() {
            let words = value.map_or("not known: it lies among the censored".into(), |value| format!("{value:.6}"));
            say!("  quantile {share}: {words}");
        }
        match &self.models {
            Ok(models) => models.iter().for_each(Fitted::print),
            Err(why) => say!("  no distribution fitted: {why}"),
        }
    }
}
