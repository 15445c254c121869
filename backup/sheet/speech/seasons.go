package speech

import "fmt"

// monthID is the id of the words of a month, 1 to 12.
func monthID(month int) string { return fmt.Sprintf("month.%d", month) }

// MonthName names a month, 1 to 12.
func (v Voice) MonthName(month int) string { return v.Say(monthID(month)) }

// ShortMonth names a month, 1 to 12, where there is little room.
func (v Voice) ShortMonth(month int) string { return v.Say(monthID(month) + ".short") }

// OtherMonth tells of a month in which the backup board is carried for other hours than in that of the plan: 0, more is
// on than the inverters carry. told is how those hours are told, and promised how those of the plan are; nothing is
// said where a reader would see no difference.
func (v Voice) OtherMonth(month int, hours float64, told, promised string) string {
	switch {
	case hours == 0:
		return " " + v.Say("verdict.other-month-overload", v.MonthName(month))
	case told != promised:
		return " " + v.Say("verdict.other-month", v.MonthName(month), told)
	}
	return ""
}
