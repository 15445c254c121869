package findings

import "outlast/backup/verdict"

// CheckName is a check in the words of the papers.
func (r *Report) CheckName(id string) string { return r.Speaker.CheckName(id) }

// CheckTrouble says in plain words what it means that a check does not pass.
func (r *Report) CheckTrouble(c verdict.Check) string { return r.Speaker.Trouble(c) }

// GroupID is the id of the words of a group of checks.
func GroupID(g verdict.Group) string { return "group." + string(g) }

// Grouped sorts the checks into their groups.
func Grouped(checks []verdict.Check) map[verdict.Group][]verdict.Check {
	out := map[verdict.Group][]verdict.Check{}
	for _, c := range checks {
		g := verdict.GroupOf(c.ID)
		out[g] = append(out[g], c)
	}
	return out
}
