"""General-purpose peers of the solver, each on the same days with the rules that it cannot state left out."""
