// Package study answers what else is worth knowing of a planned home: outages followed through time, from every start
// of a year, what stays on how long, what to switch off first, and which inputs the plan depends on most.
package study
