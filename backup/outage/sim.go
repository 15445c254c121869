package outage

// A Sim is an outage through time, in steps of a minute. [NewSim] stops at the failure, [Sim.Run] goes on, [Sim.Result]
// tells what became of it so far; running on in pieces gives, bit for bit, what running at once gives.
//
// Order in a minute: loads (less what is dropped), array, generator, battery.
//
//   - A load is dropped at the beginning of a minute at which the state of charge is below its DropBelow, and comes back at
//     ReturnMargin above it. A medical load is never dropped.
//   - The array carries the loads; while the generator runs, that takes over the rest. The bank takes or gives the
//     difference; what it does not take is cut first from the generator, then from the array.
//   - Where bank and inverter cannot carry all, all circuits are served for the same part of the minute and the board counts
//     as dark. A bank that ran out stays off until it has RestartSoC again; the generator carries loads meanwhile.
//
// What holds for the time until the first dark minute, whatever the rhythms, losses and limits:
//
//   - More array power in any minute, or more strings in the bank, never shorten it, if no load is dropped by its state of
//     charge, there is no generator, and the bank does not start below the floor at which it stops giving (a larger bank
//     takes more to be lifted over it).
//   - More fuel never shortens it if no load is dropped, whatever the generator's rule.
//
// With drops or with a generator that starts by state of charge the first does not hold: a fuller bank may keep a load
// on, or the generator off, for just too long.
type Sim struct {
	supply
	s      Scenario
	demand demand

	terse  bool // of what becomes of it only the minutes, the fuel, the dark ones and the lowest charge are kept
	lowest float64
	minute int  // since the failure
	short  bool // the last minute was not served in full
	asked  []float64
	held   held // what asked stands for
	baseAt int  // the place of its circuit; -1: none
	out    Result
}

// held is what was asked for in the last minute, where the next one may ask for just the same: nothing in its stretch
// has a rhythm or is ever dropped.
type held struct {
	stretch       int // counted from 1; 0: none
	baseW, askedW float64
}

// NewSim returns an outage at its first moment. It resets the scenario's bank, which is the simulation's from then on.
// The error names the first number that is out of range.
func NewSim(s Scenario) (*Sim, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	sim := &Sim{s: s, supply: newSupply(s.Inverter, s.ChargeLimitW, s.Generator, minuteH)}
	sim.bank, sim.restartSoC = s.Bank, s.RestartSoC
	index := map[string]int{}
	for i := range s.Loads {
		id := s.Loads[i].CircuitID
		if _, ok := index[id]; !ok {
			index[id] = len(sim.out.Circuits)
			sim.out.Circuits = append(sim.out.Circuits, CircuitResult{ID: id})
		}
	}
	sim.baseAt = -1
	if s.BaseID != "" {
		sim.baseAt = len(sim.out.Circuits)
		sim.out.Circuits = append(sim.out.Circuits, CircuitResult{ID: s.BaseID})
	}
	sim.asked = make([]float64, len(sim.out.Circuits))
	sim.demand = newDemand(&s, index)
	s.Bank.Reset(s.StartSoC)
	return sim, nil
}

// Run goes on for so many minutes, at least 0. An outage is at most ten years long.
func (s *Sim) Run(minutes int) error {
	if minutes < 0 || minutes > maxMinutes-s.minute {
		return errs.Errorf("%d minutes after %d, want at least 0 and %d in all at most", minutes, s.minute, maxMinutes)
	}
	for range minutes {
		s.step()
	}
	return nil
}

// step is one minute, and what went where in it.
func (s *Sim) step() flow {
	soc := s.bank.SoC()
	if !s.terse {
		s.out.SoC = append(s.out.SoC, soc)
	} else if soc < s.lowest {
		s.lowest = soc
	}
	if s.off && soc >= s.restartSoC {
		s.off = false
	}
	if e := s.engine; e != nil {
		was := e.running
		e.turn(soc, s.short)
		if e.running && !was {
			s.event(EventGeneratorStarts, "", "")
		} else if was && !e.running {
			s.event(EventGeneratorStops, "", "")
		}
	}
	demandW := s.ask(soc)
	f := s.flow(demandW, s.sun())
	s.account(f)
	s.minute++
	return f
}

// sun is the power of the array in the next minute.
func (s *Sim) sun() float64 {
	n := len(s.s.PVW)
	if n == 0 {
		return 0
	}
	return s.s.PVW[(s.s.StartMin+s.minute)/s.s.pvMin()%n]
}

// base is the power that is asked for on no circuit in the next minute.
func (s *Sim) base() float64 {
	n := len(s.s.BaseW)
	if n == 0 {
		return 0
	}
	return s.s.BaseW[(s.s.StartMin+s.minute)%n]
}

// ask sums up what the loads ask of each circuit in the next minute, dropped ones left out, and returns the whole.
func (s *Sim) ask(soc float64) (demandW float64) {
	at := int(s.demand.at[(s.s.StartMin+s.minute)%minutesPerDay])
	demandW = s.base()
	if at+1 == s.held.stretch && demandW == s.held.baseW {
		return s.held.askedW
	}
	s.held = held{baseW: demandW}
	if !s.terse {
		clear(s.asked)
	}
	if s.baseAt >= 0 && !s.terse {
		s.asked[s.baseAt] += demandW
	}
	now := s.demand.stretches[at]
	even := true
	for i := range now {
		b := &now[i]
		if b.steady && s.terse {
			demandW += b.evenW
			continue
		}
		even = even && b.steady
		a := &s.demand.loads[b.load]
		w := s.demand.watts(b)
		if a.dropBelow > 0 {
			switch {
			case !a.dropped && soc < a.dropBelow:
				a.dropped = true
				s.event(EventDropped, s.out.Circuits[a.circuit].ID, a.name)
			case a.dropped && soc >= a.backAt:
				a.dropped = false
				s.event(EventRestored, s.out.Circuits[a.circuit].ID, a.name)
			}
			if a.dropped {
				if !s.terse {
					s.out.Circuits[a.circuit].DroppedWh += w * minuteH
					s.out.Energy.DroppedWh += w * minuteH
				}
				continue
			}
		}
		if !s.terse {
			s.asked[a.circuit] += w
		}
		demandW += w
	}
	if even {
		s.held.stretch, s.held.askedW = at+1, demandW
	}
	return demandW
}

// account books a minute.
func (s *Sim) account(f flow) {
	out := &s.out
	if s.engine != nil && s.engine.running {
		out.FuelL += s.engine.burn(f.generatorW)
		out.GeneratorMin++
	}
	if f.dark {
		if out.DarkMin == 0 {
			out.FirstDarkMin = s.minute
		}
		out.DarkMin++
	}
	if !s.terse {
		s.accountFor(f)
	}
	s.short = f.dark
}

// accountFor books what went where, and what the circuits got of it.
func (s *Sim) accountFor(f flow) {
	out := &s.out
	e := &out.Energy
	e.DemandWh += f.demandW * minuteH
	e.ServedWh += f.servedW * minuteH
	e.PVUsedWh += f.pvW * minuteH
	e.PVCurtailedWh += f.curtailedW * minuteH
	e.GeneratorWh += f.generatorW * minuteH
	e.BankInWh += f.inW * minuteH
	e.BankOutWh += f.outW * minuteH
	e.LossWh += f.lossW * minuteH
	unservedPart := 0.0
	if f.dark && f.demandW > 0 {
		unservedPart = 1 - f.servedW/f.demandW
	}
	for i := range out.Circuits {
		c := &out.Circuits[i]
		wh := s.asked[i] * minuteH
		c.DemandWh += wh
		c.UnservedWh += wh * unservedPart
		if f.dark && !s.short {
			s.event(EventDark, c.ID, "")
		} else if s.short && !f.dark {
			s.event(EventReturn, c.ID, "")
		}
	}
}

func (s *Sim) event(kind EventKind, circuit, load string) {
	if s.terse {
		return
	}
	s.out.Events = append(s.out.Events, Event{Min: s.minute, Kind: kind, CircuitID: circuit, Load: load})
}
