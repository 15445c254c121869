package paper

import "outlast/backup/verdict"

// checkName is a check in the words of the papers.
func (r *report) checkName(id string) string { return r.speaker.CheckName(id) }

// checkTrouble says in plain words what it means that a check does not pass.
func (r *report) checkTrouble(id string) string { return r.speaker.CheckWords("trouble.", id) }

// groupID is the id of the words of a group of checks.
func groupID(g verdict.Group) string { return "group." + string(g) }

// grouped sorts the checks into their groups.
func grouped(checks []verdict.Check) map[verdict.Group][]verdict.Check {
	out := map[verdict.Group][]verdict.Check{}
	for _, c := range checks {
		g := verdict.GroupOf(c.ID)
		out[g] = append(out[g], c)
	}
	return out
}
