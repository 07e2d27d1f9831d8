//! A report as a PDF file.
