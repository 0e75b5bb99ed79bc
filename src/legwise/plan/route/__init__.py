"""A route's text to its points and legs: airways, departures, arrivals, points by bearing and distance."""
