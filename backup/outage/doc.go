// Package outage follows outages of the grid through time: one in every detail, and one from every hour of a year.
//
// One outage: describe the home in a [Scenario], make a [Sim] of it, and let it run. It steps through loads, array,
// generator and bank by the minute and tells when which circuit loses power, what was not served and where the energy
// went; [AutonomyOf] tells how long the bank alone carries everything, and how far the rhythms of the loads spread
// that.
//
// A year: of a [Year] of net powers at the bank [NewStudy] makes a [Study], which then answers at once from all start
// hours how long a bank lasts ([Study.Survive]), which bank outages need ([Study.SmallestBank]) and which reserve to
// keep in each month ([Study.Reserves]). It takes the bank as a store of energy with fixed efficiencies and limits;
// [SurviveStepping] takes any [Bank], such as the models of package battery, and steps. Hourly means hide the limits of
// power: a year in minutes shows them.
//
// Statistics: [Starts] sums up what survived; [Exponential], [Lognormal] and [Weibull] are laws of the length of
// outages, and [Expect] joins both to the dark hours and the energy not served that a year brings.
//
// Powers are W, energies Wh, states of charge 0 to 1, times hours, minutes or steps as named. Years begin on 1 January
// at midnight in standard time. Equal input gives equal results bit for bit, draws included.
//
// Left out: starting surges and the trip of an inverter, reactive power, voltages, ageing within an outage, wear,
// weather (the array's power comes in), and what people do beyond switching loads off by state of charge.
package outage
