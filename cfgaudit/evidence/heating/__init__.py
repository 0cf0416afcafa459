"""A heater's heat-up, its model, and its guard and regulator held against that."""
