# Compares the CSV tables, as R reads them, with the figures in expected.csv; run by export_counts.py.
# Last run with R 4.2.2 and nothing beside its base packages.

folder <- commandArgs(trailingOnly = TRUE)[1]
table <- function(name) read.csv(file.path(folder, paste0(name, ".csv")), stringsAsFactors = FALSE)
is_true <- function(column) !is.na(column) & column

presses <- table("presses")
trials <- table("trials")
expected <- table("expected")
compared <- 0
for (row in seq_len(nrow(expected))) {
  wanted <- expected[row, ]
  latency <- with(presses, latency_s[session == wanted$session & is_true(in_findings)])
  of_session <- trials[trials$session == wanted$session, ]
  found <- c(
    trials = sum(is_true(of_session$trial_counts)),
    trials_hit = sum(is_true(of_session$trial_counts) & of_session$outcome == "hit"),
    left_out_practice = sum(of_session$left_out == "practice"),
    count = length(latency), mean_s = mean(latency), sd_s = sd(latency),
    lower_quartile_s = quantile(latency, 0.25, names = FALSE),
    median_s = median(latency),
    upper_quartile_s = quantile(latency, 0.75, names = FALSE)
  )
  for (name in names(found)) {
    if (abs(found[[name]] - wanted[[name]]) >= 1e-9) stop(name, ": ", found[[name]], " is not ", wanted[[name]])
    compared <- compared + 1
  }
}
# A factor or a text would have stopped above; these say it in words.
stopifnot(is.logical(presses$in_findings), is.numeric(presses$latency_s), is.numeric(presses$closed_s), is.numeric(trials$scan_interval_s))
cat(sprintf("R %s.%s: %d figures of %d sessions agree\n", R.version$major, R.version$minor, compared, nrow(expected)))
