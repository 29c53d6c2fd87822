"""One invented studio's season. Every name, price, recipe and certificate figure is made up for the demonstration."""
