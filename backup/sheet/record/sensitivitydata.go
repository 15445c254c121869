package record

import (
	"outlast/backup"
	"outlast/backup/study"
)

// influenceJSON is what one input moves.
type influenceJSON struct {
	Input     string   `json:"input"`
	Step      string   `json:"step"`
	Was       float64  `json:"was" doc:"in unit"`
	Is        float64  `json:"is" doc:"in unit"`
	Unit      string   `json:"unit"`
	AutonomyH float64  `json:"autonomy_h"`
	ChangeH   float64  `json:"change_h"`
	AtLeast   bool     `json:"at_least" doc:"autonomy_h is where the simulation was ended"`
	Check     string   `json:"check" doc:"whose margin moves most; \"\": none moves"`
	MarginWas *float64 `json:"margin_was"`
	MarginIs  *float64 `json:"margin_is"`
	Fails     []string `json:"fails" doc:"checks that fail by it"`
}

func sensitivityJSON(p *backup.Plan) ([]influenceJSON, error) {
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		return nil, err
	}
	out := []influenceJSON{}
	for _, f := range list {
		out = append(out, influenceJSON{Input: f.Input.String(), Step: f.Step.String(), Was: f.Was, Is: f.Is,
			Unit: f.Unit, AutonomyH: f.AutonomyH, ChangeH: f.ChangeH,
			AtLeast: f.Capped,
			Check:   f.Check, MarginWas: known(f.MarginWas, f.Check != ""), MarginIs: known(f.MarginIs, f.Check != ""),
			Fails: append([]string{}, f.Fails...)})
	}
	return out, nil
}
