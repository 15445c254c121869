// Package grid is what sheets are made of: sections of a title, a table and lines, cells of numbers with units, and how
// both are written as text or as Markdown.
//
// What stands in a section are phrases, so one section serves every language; a [speech.Speaker] writes them.
package grid
