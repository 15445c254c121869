package sheet

import (
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
)

// Speaking makes the speaker of a sheet.
type Speaking func(Options) (*speech.Speaker, error)

// SpeakFor makes the one that knows the names of a home.
func SpeakFor(p *facts.Facts) Speaking {
	return func(o Options) (*speech.Speaker, error) {
		return speaker(p.Site, o, func(id string) string { return record.RunLabel(p, id) })
	}
}

// Say writes a line of what is told of a site file, in a language.
func Say(s *site.Site, lang string, p phrase.Phrase) (string, error) {
	speaker, err := SpeakOf(s)(Options{Lang: lang})
	if err != nil {
		return "", err
	}
	return columns.Loosened(speaker.Prose(p)), nil
}

// SpeakOf makes the one for what is told of a site file alone.
func SpeakOf(s *site.Site) Speaking {
	return func(o Options) (*speech.Speaker, error) {
		return speaker(s, o, func(string) string { return "" })
	}
}

func speaker(s *site.Site, o Options, about func(id string) string) (*speech.Speaker, error) {
	v, err := speech.NewVoice(o.Lang, s.Units == "us")
	if err != nil {
		return nil, err
	}
	return speech.NewSpeaker(v, s.Loads, about), nil
}
