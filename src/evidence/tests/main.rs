//! The behaviour of `evidence`, a file a behaviour, in one binary.

mod order_evidence; // which of two events came first: against SciPy, against drawn cameras, and how often it holds
mod order_ties; // clocks that ties give: how often the truth lies within their stated error
mod place_coverage; // stated intervals of places hold the truth as often as they say
mod place_references; // calibrating, measuring, pose, triangulation against OpenCV and SciPy
