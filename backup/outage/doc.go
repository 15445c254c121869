// Package outage follows outages of the grid through time.
package outage
