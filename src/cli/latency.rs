//! `latency`: describes a column of latencies and fits distributions to it.

use serde_json::{Map, Value, json};

use super::args::LatencyArgs;
use super::column::{self, Group, Wanted};
use super::{Done, Trouble, files};
use crate::problem::Problem;
use crate::stats::Sample;
use crate::stats::latency::{ExGaussian, Fit, FitError, Observations};

/// The distributions that can be fitted.
pub(super) const MODELS: [&str; 1] = ["exgauss"];

/// The quantiles that are told.
const SHARES: [f64; 7] = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95];

pub(super) fn run(args: &LatencyArgs) -> Done {
    let file = args.file.display().to_string();
    let bytes = files::bytes(&args.file, || "give a text file with latencies".into())?;
    let text =
        String::from_utf8(bytes).map_err(|_| Problem::error(&file, None, "it is no text", "save it as UTF-8"))?;
    let wanted = Wanted { column: args.column.as_deref(), by: args.by.as_deref() };
    let groups = column::read(&file, &text, wanted).map_err(Trouble::Input)?;
    let mut problems = Vec::new();
    let described: Vec<Described<'_>> = groups
        .iter()
        .filter_map(|group| {
            Described::of(group, args.model.as_deref()).map_err(|why| problems.push(unfit(&file, group, why))).ok()
        })
        .collect();
    if !problems.is_empty() {
        return Err(Trouble::Input(problems));
    }
    if args.json {
        print_json(args, &described);
    } else {
        described.iter().for_each(|found| found.print(args));
    }
    Ok(())
}

fn unfit(file: &str, group: &Group, why: FitError) -> Problem {
    let why = why.to_string();
    let (what, remedy) = why.split_once("; ").unwrap_or((&why, "check the values"));
    let whose = if group.name.is_empty() { String::new() } else { format!("`{}`: ", group.name) };
    Problem::error(file, None, format!("{whose}{what}"), remedy)
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
    sample: Sample,
    models: Vec<Fitted>,
}

/// A fitted distribution under its name, with its parameters and their standard errors.
struct Fitted {
    name: &'static str,
    parameters: [(&'static str, f64); 3],
    errors: Option<[f64; 3]>,
    log_likelihood: f64,
}

impl Fitted {
    fn of(name: &'static str, observations: &Observations<'_>) -> Result<Fitted, FitError> {
        let Fit { model, log_likelihood, standard_errors: errors, .. } = ExGaussian::fit(observations)?;
        let parameters = [("mu", model.mu), ("sigma", model.sigma), ("tau", model.tau)];
        Ok(Fitted { name, parameters, errors, log_likelihood })
    }

    fn json(&self) -> Value {
        let params: Map<String, Value> =
            self.parameters.iter().map(|(name, value)| ((*name).into(), Value::from(*value))).collect();
        let errors: Option<Map<String, Value>> = self.errors.map(|errors| {
            self.parameters.iter().zip(errors).map(|((name, _), error)| ((*name).into(), Value::from(error))).collect()
        });
        json!({ "name": self.name, "params": params, "standard_errors": errors, "loglik": self.log_likelihood })
    }

    fn print(&self) {
        say!("  {}: log-likelihood {:.4}", self.name, self.log_likelihood);
        for (index, (name, value)) in self.parameters.iter().enumerate() {
            match self.errors {
                Some(errors) => say!("    {name} {value:.6} (standard error {:.6})", errors[index]),
                None => say!("    {name} {value:.6} (no standard error: the fit lies at the edge of its family)"),
            }
        }
    }
}

impl Described<'_> {
    fn of<'a>(group: &'a Group, model: Option<&str>) -> Result<Described<'a>, FitError> {
        let observations = Observations { seen: &group.seen, censored: &group.censored, truncated_at: None };
        let chosen = MODELS.into_iter().filter(|name| model.is_none_or(|model| model == *name));
        let models = chosen.map(|name| Fitted::of(name, &observations)).collect::<Result<_, _>>()?;
        let sample = Sample::new(group.seen.clone()).map_err(|_| FitError::NotFinite)?;
        Ok(Described { group, sample, models })
    }

    /// The quantile of all values, which is known as far as it lies below every limit of a censored one.
    fn quantile(&self, share: f64) -> Option<f64> {
        let all = self.group.seen.iter().chain(&self.group.censored).copied().collect();
        let known = self.group.censored.iter().copied().fold(f64::INFINITY, f64::min);
        let value = Sample::new(all).ok()?.quantile(share);
        (value < known).then_some(value)
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
            "mean": self.sample.mean(),
            "sd": self.sample.sd(),
            "quantiles": quantiles,
            "models": self.models.iter().map(Fitted::json).collect::<Vec<_>>(),
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
        say!("  seen: mean {:.6}, standard deviation {:.6}", self.sample.mean(), self.sample.sd().unwrap_or(0.0));
        for (share, value) in self.quantiles() {
            let words = value.map_or("not known: it lies among the censored".into(), |value| format!("{value:.6}"));
            say!("  quantile {share}: {words}");
        }
        self.models.iter().for_each(Fitted::print);
    }
}
