"""A bound by columns: a linear programme over whole placements of visits, with resources counted over the clinic."""
