package live

import (
	"bytes"
	"errors"
	"io"
	"maps"
	"sync"

	"outlast/backup/solar"
)

// mostWeather is how large a weather file may be that is kept, in bytes; a year of hours has less than 2 MB.
const mostWeather = 8 << 20

// mostForecasts is how many weather files are kept: arrays of a home name one, or a few.
const mostForecasts = 8

// forecasts are the weather files of a home as they were read last. A touch changes the site file, not them: reading
// one takes longer than to plan the home.
type forecasts struct {
	mu    sync.Mutex
	known map[string]forecast
}

type forecast struct {
	text []byte
	read *solar.Weather
}

// openFile opens a file that the site file names.
func (t *Table) openFile(name string) (io.ReadCloser, error) {
	if t.home.Open == nil {
		return nil, errors.New("no other file can be read here")
	}
	return t.home.Open(name)
}

// weather is what a weather file says. It is looked at each time, and read again where it is another.
func (t *Table) weather(name string) (*solar.Weather, error) {
	f, err := t.openFile(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostWeather+1))
	if err != nil {
		return nil, err
	}
	if len(text) > mostWeather {
		return solar.ReadWeather(io.MultiReader(bytes.NewReader(text), f))
	}
	t.forecasts.mu.Lock()
	defer t.forecasts.mu.Unlock()
	if known, ok := t.forecasts.known[name]; ok && bytes.Equal(known.text, text) {
		return known.read, nil
	}
	w, err := solar.ReadWeather(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	if t.forecasts.known == nil || len(t.forecasts.known) >= mostForecasts {
		t.forecasts.known = map[string]forecast{}
	}
	t.forecasts.known[name] = forecast{text, w}
	return w, nil
}

// Current says whether the files that the site file names are still as they were when answers were worked out: if not,
// the home wants to be put on the table anew.
func (t *Table) Current() bool {
	t.forecasts.mu.Lock()
	known := maps.Clone(t.forecasts.known)
	t.forecasts.mu.Unlock()
	for name, was := range known {
		f, err := t.openFile(name)
		if err != nil {
			return false
		}
		text, err := io.ReadAll(io.LimitReader(f, mostWeather+1))
		f.Close()
		if err != nil || !bytes.Equal(text, was.text) {
			return false
		}
	}
	return true
}
