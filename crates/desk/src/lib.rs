//! The use-cases: read the book, call the arithmetic, return a result that any face can show.
