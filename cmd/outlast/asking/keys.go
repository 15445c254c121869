package asking

import (
	"charm.land/huh/v2"

	"outlast/backup/phrase"
)

// keyMap is the keys of a form, told in the language of the interview.
func keyMap(say func(phrase.Phrase) string) *huh.KeyMap {
	k := huh.NewDefaultKeyMap()
	back, next, choose, done := say(phrase.Of("back")), say(phrase.Of("next")), say(phrase.Of("select")),
		say(phrase.Of("submit"))
	up, down, find := say(phrase.Of("up")), say(phrase.Of("down")), say(phrase.Of("filter"))
	found, all := say(phrase.Of("set filter")), say(phrase.Of("clear filter"))
	for _, b := range []struct {
		key interface{ SetHelp(key, does string) }
		on  string // as the library shows it
		say string
	}{
		{&k.Input.Prev, k.Input.Prev.Help().Key, back}, {&k.Input.Next, k.Input.Next.Help().Key, next},
		{&k.Input.Submit, k.Input.Submit.Help().Key, done},
		{&k.Select.Prev, k.Select.Prev.Help().Key, back}, {&k.Select.Next, k.Select.Next.Help().Key, choose},
		{&k.Select.Submit, k.Select.Submit.Help().Key, done}, {&k.Select.Up, k.Select.Up.Help().Key, up},
		{&k.Select.Down, k.Select.Down.Help().Key, down}, {&k.Select.Filter, k.Select.Filter.Help().Key, find},
		{&k.Select.SetFilter, k.Select.SetFilter.Help().Key, found},
		{&k.Select.ClearFilter, k.Select.ClearFilter.Help().Key, all},
		{&k.MultiSelect.Prev, k.MultiSelect.Prev.Help().Key, back},
		{&k.MultiSelect.Next, k.MultiSelect.Next.Help().Key, say(phrase.Of("confirm"))},
		{&k.MultiSelect.Submit, k.MultiSelect.Submit.Help().Key, done},
		{&k.MultiSelect.Toggle, k.MultiSelect.Toggle.Help().Key, say(phrase.Of("toggle"))},
		{&k.MultiSelect.Up, k.MultiSelect.Up.Help().Key, up}, {&k.MultiSelect.Down, k.MultiSelect.Down.Help().Key, down},
		{&k.MultiSelect.Filter, k.MultiSelect.Filter.Help().Key, find},
		{&k.MultiSelect.SetFilter, k.MultiSelect.SetFilter.Help().Key, found},
		{&k.MultiSelect.ClearFilter, k.MultiSelect.ClearFilter.Help().Key, all},
		{&k.MultiSelect.SelectAll, k.MultiSelect.SelectAll.Help().Key, say(phrase.Of("select all"))},
		{&k.MultiSelect.SelectNone, k.MultiSelect.SelectNone.Help().Key, say(phrase.Of("select none"))},
	} {
		b.key.SetHelp(b.on, b.say)
	}
	return k
}
