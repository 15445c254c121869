// Package columns sets text in signs of one width, as a terminal shows it: lines that are wrapped, tables that are
// squeezed to a width, and drawings of plain characters.
//
// Start with [Wrapped] for a text and [Table.Write] for a table. Widths are in columns: a sign may take none or two.
// What was typed by people is cleaned of signs that nobody sees.
package columns
