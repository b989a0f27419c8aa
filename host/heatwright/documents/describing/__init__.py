"""Documents from data sheets: one question at a time, the rest by default and marked so."""
