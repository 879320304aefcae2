package bake

// StudentT975 is checked against a printed table.
var StudentT975 = studentT975
