"""Plain numbers in, plain numbers out. Amounts are grams unless an argument names the unit; shares are fractions."""
