/* model/reading: what each type takes, what it makes of it, and what it refuses in which words and where.
 *
 * The numbers V1–V3, V7 and V20–V31 are published conversions, some of them wrong in print; the source of
 * each stands beside it.
 */
#include "reading_clause.h"

/* ------------------------------------------------------------------ what is taken */

typedef struct Accepted {
    const char *block, *clause;
    const char *key;     /* in base units */
    const char *printed; /* NULL: as the clause, without its field */
} Accepted;

static const Accepted accepted[] = {
    /* quantities and ranges */
    {"take", "length 3 in", "381/5", NULL},
    {"take", "length 8 .. 15 cm", "80..150", NULL},
    {"take", "length 8 cm .. 6 in", "80..762/5", "8 .. 15.24 cm"},
    {"take", "length 3 in .. 5 in", "381/5..127", "3 .. 5 in"},
    {"take", "length 1 1/2 in", "381/10", "1.5 in"},
    {"take", "length 1/8 in", "127/40", "0.125 in"},
    {"take", "length at most 5 cm", "..50", NULL},
    {"take", "length > 5 cm", "50<..", NULL},
    {"take", "length 5 cm, 8 .. 9 cm", "50,80..90", NULL},
    {"take", "length about 20 mm", "18..22", "18 .. 22 mm"},
    {"take", "leaf-trim at most 50 %", "..1/2", NULL},
    {"take", "leaf-trim 1 in 10", "1/10", "10 %"},
    {"take", "leaf-trim 1/2", "1/2", "50 %"},
    {"take", "leaf-trim 1/3", "1/3", NULL},
    {"take", "leaf-trim 1 in 10 .. 1 in 5", "1/10..1/5", "10 .. 20 %"},
    {"take", "leaf-trim none", "none 0", NULL},
    {"take", "leaf-trim 0 .. 100 %", "0..1", NULL},
    {"take", "leaves 1, 3 .. 5", "1,3..5", NULL},
    {"take", "leaves none", "none 0", NULL},
    {"take", "leaves about 3", "27/10..33/10", "2.7 .. 3.3"},
    {"take", "base-cut 45 +- 10 deg", "35..55", "35 .. 55 deg"},
    {"take", "base-cut 45 ± 10 deg", "35..55", "35 .. 55 deg"},
    {"stage", "medium-temperature 18 .. 22 C", "18..22", NULL},
    {"stage", "medium-temperature -2 C .. 4 C", "-2..4", "-2 .. 4 C"},
    {"stage", "medium-temperature 20 +- 2 C", "18..22", "18 .. 22 C"},
    {"stage", "medium-temperature 68 +- 9 F", "15..25", "59 .. 77 F"},
    {"stage", "medium-temperature about 22 C", "21..23", "21 .. 23 C"},
    {"stage", "medium-temperature < 1 C", "..<1", NULL},
    {"stage", "medium-temperature at least -2 C", "-2..", NULL},
    {"site", "latitude -33.5 deg", "-67/2", NULL},
    {"place", "turnaround 2 days \"empty, scrub\"", "172800 \"empty, scrub\"", NULL},
    {"batch", "count 308", "308", NULL},
    /* shares of another field */
    {"stick", "depth 1/3 .. 1/2 of length", "1/3..1/2 of length", NULL},
    {"stick", "depth 2/3 of length", "2/3 of length", NULL},
    {"stick", "depth at most 50 % of length", "..1/2 of length", "at most 1/2 of length"},
    {"treat", "wound-length 1 1/2 of thickness", "3/2 of thickness", NULL},
    /* sizes, rates, hours, dilutions */
    {"container", "footprint 54 x 28 cm", "540,280", NULL},
    {"container", "inside 60 x 40 x 20 cm", "600,400,200", NULL},
    {"stick", "spacing 5 x 5 cm", "50,50", NULL},
    {"task", "takes 2 min per tray", "120 per tray", NULL},
    {"task", "takes 10 min", "600 per batch", "10 min per batch"},
    {"task", "takes 15 min per hundred-metres", "900 per hundred-metres", NULL},
    {"take", "work 200 .. 600 per hour", "200..600 per hour", NULL},
    {"variety", "royalty 0.30 EUR per plant", "3/10 per plant", "0.3 EUR per plant"},
    {"variety", "rate 62 .. 78 % rooted", "31/50..39/50 per rooted", NULL},
    {"variety", "rate unknown", "unknown", NULL},
    {"finish", "pays at least 70 % rooted", "7/10.. per rooted", NULL},
    {"take", "hour 06:00 .. 09:00", "360..540", NULL},
    {"task", "daily 08:00, 20:00", "480,1200", NULL},
    {"treat", "dilution 1 + 9", "1/10", NULL},
    {"treat", "dilution 1 in 10", "1/10", "1 + 9"},
    {"treat", "dilution 1 in 20 .. 1 in 10", "1/20..1/10", "1 + 19 .. 1 + 9"},
    /* windows */
    {"take", "window late May .. mid Jul", "late May..mid Jul", NULL},
    {"take", "window 24 Dec .. 2 Jan", "24 Dec..2 Jan", NULL},
    {"take", "window Jun", "Jun..Jun", NULL},
    {"take", "window 2 weeks after last-frost .. end Jun", "last-frost+14..end Jun", NULL},
    {"take", "window late May .. 10 days before first-frost", "late May..first-frost-10", NULL},
    {"take", "window 1 .. 2 weeks before leaf-fall", "leaf-fall-14..leaf-fall-7",
     "2 weeks before leaf-fall .. 1 week before leaf-fall"},
    {"take", "window all year", "all year", NULL},
    /* dates and days */
    {"batch", "stick 18 Jun 2027", "2027-06-18", NULL},
    {"batch", "stick 2027-06-18", "2027-06-18", "18 Jun 2027"},
    {"batch", "stick 14 Jun .. 17 Jun 2027", "2027-06-14 ..2027-06-17", "14 Jun 2027 .. 17 Jun 2027"},
    {"batch", "stick 30 Dec 2027 .. 2 Jan 2028", "2027-12-30 ..2028-01-02", NULL},
    {"batch", "stick mid Feb 2028", "2028-02-11 in..2028-02-20", NULL},
    {"batch", "stick late Feb 2028", "2028-02-21 in..2028-02-29", NULL},
    {"batch", "stick end Feb 2028", "2028-02-29", "29 Feb 2028"},
    {"batch", "stick Feb 2028", "2028-02-01 in..2028-02-29", NULL},
    {"batch", "arrive 5 Feb 2027 11:30", "2027-02-05 at 690", NULL},
    {"stock", "checked 18 May 2027 \"no mottling\"", "2027-05-18 \"no mottling\"", NULL},
    {"batch", "want 200 by 1 Apr 2028", "200 2028-04-01", NULL},
    {"variety", "protected until 1 May 2041", "2041-05-01", NULL},
    {"variety", "protected no", "none", NULL},
    {"site", "last-frost 28 Apr", "28 Apr", NULL},
    {"site", "work-days Mon .. Fri", "Mon,Tue,Wed,Thu,Fri", NULL},
    {"site", "work-days Fri .. Mon", "Mon,Fri,Sat,Sun", "Mon, Fri .. Sun"},
    {"site", "duty Sat, Sun, 24 Dec .. 2 Jan", "Sat,Sun 24 Dec..2 Jan", "Sat .. Sun, 24 Dec .. 2 Jan"},
    {"site", "closed 24 Dec .. 2 Jan \"winter break\"", "24 Dec..2 Jan winter break", NULL},
    /* time in a batch */
    {"stage", "lasts 2 .. 3 weeks", "14..21 d", NULL},
    {"stage", "lasts 10 d", "10..10 d", "10 days"},
    {"stage", "lasts 48 h", "2..2 d", "2 days"},
    {"stage", "lasts about 10 days", "9..11 d", "9 .. 11 days"},
    {"stage", "lasts 2 weeks (14 days)", "14..14 d", "2 weeks"},
    {"stage", "lasts until mid Mar", "mid Mar..mid Mar", NULL},
    {"stage", "lasts until first-frost", "first-frost+0..first-frost+0", NULL},
    {"stage", "lasts until 2 weeks after leaf-fall", "leaf-fall+14..leaf-fall+14", NULL},
    {"stage", "lasts until 5 .. 6 weeks after stick", "35..42 d from stick ", NULL},
    {"stage", "begins 1 week before end of root", "-7..-7 d from end root", NULL},
    {"task", "at start", "0..0 d from start ", NULL},
    {"task", "at end", "0..0 d from end ", NULL},
    {"task", "at day 7", "7..7 d from start ", NULL},
    {"task", "at day 7 after stick", "7..7 d from stick ", "1 week after stick"},
    {"task", "at 3 days before end", "-3..-3 d from end ", NULL},
    {"task", "at 2 .. 4 weeks after ready root", "14..28 d from end root", "2 .. 4 weeks after end of root"},
    {"task", "at 2 .. 4 weeks before end", "-28..-14 d from end ", NULL},
    {"task", "at after end of root", "0..0 d from end root", "end of root"},
    {"task", "at each look", "each look", NULL},
    {"task", "at 4 weeks before first-frost", "-28..-28 d from event first-frost", NULL},
    {"task", "at 1 day before stick", "-1..-1 d from stick ", NULL},
    {"task", "at finish", "0..0 d from finish ", NULL},
    {"task", "until end of root", "0..0 d from end root", NULL},
    {"task", "every 1 week", "604800", NULL},
    {"task", "first day 14", "14..14 d from start ", NULL},
    {"task", "first day 7 after stick", "7..7 d from stick ", NULL},
    {"task", "latest 10 Apr", "10 Apr..10 Apr", NULL},
    {"task", "latest first-frost", "first-frost+0..first-frost+0", NULL},
    {"task", "latest 1 week after first-frost", "first-frost+7..first-frost+7", NULL},
    {"task", "latest day 24", "24..24 d", NULL},
    {"task", "slack 3 days", "3..3 d", NULL},
    {"task", "slack 3 days after", "3..3 d after", NULL},
    {"task", "slack 1 week before", "7..7 d before", NULL},
    {"schedule", "day 0 .. 3  5 .. 8 s every 10 min", "0..3 5 .. 8 s every 10 min", NULL},
    {"schedule", "day 8 .. end off", "8..end off", "8 .. end  off"},
    {"schedule", "day 0 3 s every 60 min by day", "0..0 3 s every 60 min by day",
     "0  3 s every 60 min by day"},
    /* words, names, texts */
    {"take", "wood softwood, semi-hardwood", "semi-hardwood,softwood", NULL},
    {"treat", "wound none", "none", NULL},
    {"treat", "order fresh-cut, wound, hormone", "fresh-cut,wound,hormone", NULL},
    {"take", "reject flower-bud, blotched leaf", "blotched leaf,flower-bud", NULL},
    {"batch", "material bought-in \"eleven bags\"", "bought-in \"eleven bags\"", NULL},
    {"task", "uses \"a knife, flamed\", alcohol", "a knife, flamed,alcohol", NULL},
    {"task", "dose 50 .. 75 ppm N", "50..75 N", NULL},
    {"task", "count callused, bare of a sample", "bare,callused of a sample", NULL},
    {"stick", "into tray-77, tray-50", "tray-50,tray-77", NULL},
    {"crew", "speaks es, en", "en,es", NULL},
    {"protocol", "for Hydrangea macrophylla \"mopheads\"", "Hydrangea,macrophylla \"mopheads\"", NULL},
    {"batch", "stands tent-row, frame from winter", "frame from winter,tent-row from ", NULL},
    {"place", "holds 40 tray-77, 40 tray-105", "40 tray-105,40 tray-77", NULL},
    {"stick", "medium 1 peat : 1 perlite", "1 peat,1 perlite", NULL},
    {"stick", "medium 1 peat : 1 sand : 2 pine bark", "1 peat,1 sand,2 pine bark", NULL},
    {"stick", "medium soil", "1 soil", NULL},
    {"task", "say \"Lift two.\"", "Lift two.", NULL},
    {"task", "say es \"Puntas.\"", "Puntas. es", NULL},
    {"task", "show \"a.png\" \"Ridge.\"", "a.png,Ridge.", NULL},
    {"variety", "licence \"agreement 7\" until 31 Dec 2032", "2032-12-31 agreement 7", NULL},
    {"nursery", "use \"protocols\", \"rules\"", "protocols,rules", NULL},
    {"protocol", "ask depth, stands", "depth,stands", NULL},
    {"rule", "needs depth, volume", "depth,volume", NULL},
    {"protocol", "drop task pot", "pot task", NULL},
    {"protocol", "drop stage wean", "wean stage", NULL},
    {"protocol", "drop caution", "caution", NULL},
    {"protocol", "drop hosts", "hosts", NULL},
    {"protocol", "drop ask stands", "ask,stands", NULL},
    {"batch", "accept wet-big-leaves", "wet-big-leaves", NULL},
    {"nursery", "judge wet-big-leaves as warning", "wet-big-leaves warning", NULL},
    {"batch", "move pot to 3 Aug 2027", "2027-08-03 pot", NULL},
    {"batch", "move pot 2 to 3 Aug 2027", "2 2027-08-03 pot", NULL},
    {"task", "when night-low < 1 C", "night-low < 1 C", "night-low < 1 C"},
    /* doses */
    {"treat", "hormone none", "none", NULL},
    {"treat", "hormone IBA 8000 ppm talc", "IBA 8000 talc", NULL},
    {"treat", "hormone IBA 1000 .. 3000 ppm quick-dip 5 s", "IBA 1000..3000 quick-dip 5", NULL},
    {"treat", "hormone K-IBA talc 0.8 %", "K-IBA 8000 talc", "K-IBA 0.8 % talc"},
    {"treat", "hormone IBA 60 ppm soak 3 h", "IBA 60 soak 10800", NULL},
    {"treat", "hormone IBA NAA 1000 ppm soak 90 s", "IBA+NAA 1000 soak 90", NULL},
    {"treat", "hormone none, IBA 1000 .. 2000 ppm talc", "IBA 1000..2000 talc,none", NULL},
};

static void each_type_takes_its_values(void **state)
{
    Bench bench = bench_of(state);
    for (size_t i = 0; i < CHECK_COUNT(accepted); i++) {
        const Accepted *row = &accepted[i];
        const Reading *reading = bench_accept(&bench, row->block, row->clause);
        const Field *field = bench_read(&bench, row->block, row->clause).field;
        const char *printed = reading_print(bench.arena, field, reading, NULL);
        const char *wanted = row->printed ? row->printed : strchr(row->clause, ' ') + 1;
        if (strcmp(printed, wanted) != 0) fail_msg("%s: printed %s", row->clause, printed);
        const char *key = reading_key(bench.arena, reading);
        if (strcmp(key, row->key) != 0) fail_msg("%s: key %s, not %s", row->clause, key, row->key);
    }
}

/* ------------------------------------------------------------------ what is refused */

typedef struct Refused {
    const char *block, *clause;
    const char *at;      /* what the place covers */
    const char *message; /* a part of it */
} Refused;

static const Refused values[] = {
    {"stick", "depth 3", "3", "depth takes a length; 3 what? in, cm, mm"},
    {"stick", "depth 3 .. 5", "3", "3 what?"},
    {"stick", "depth 3 in .. 5", "5", "5 what?"},
    {"stick", "depth 12 .. 25 C", "C", "depth takes a length (12 .. 25 mm), not a temperature"},
    {"stick", "depth 30 .. 12 mm", "30 .. 12 mm", "30 .. 12 mm runs backwards"},
    {"stick", "depth 3 in .. 5 cm", "3 in .. 5 cm", "runs backwards"},
    {"stick", "depth -3 mm", "-3 mm", "no length is below 0"},
    {"stick", "depth", "depth", "needs a value: a length (12 .. 25 mm)"},
    {"stick", "depth deep", "deep", "not deep"},
    {"stick", "depth 5 cm below", "below", "below has no meaning here"},
    {"stick", "cover 8 .. 12 mm of grit", "of", "of has no meaning here"},
    {"stick", "depth 5 cm 3", "3", "3 has no meaning here"},
    {"stick", "depth 20 mm : 5", "20 mm : 5", "a colon has no meaning here"},
    {"stick", "depth 1 + 9", "1 + 9", "a dilution"},
    {"stick", "depth 18 Jun", "18 Jun", "takes a length"},
    {"stick", "depth about 1 .. 2 mm", "1 .. 2 mm", "about goes with one number"},
    {"stick", "depth 20 +- -2 mm", "-2 mm", "not below 0"},
    {"stick", "depth 9000000000000000000 km", "9000000000000000000 km", "too large"},
    {"take", "leaves 2 cm", "cm", "a bare number (2 .. 4), not a length"},
    {"take", "leaf-trim 50", "50", "50 what? %"},
    {"take", "leaf-trim 120 %", "120 %", "between 0 and 100 %"},
    {"take", "leaf-trim 1/3 .. 50 %", "1/3 .. 50 %", "two ways"},
    {"stage", "losses 90 .. 110 %", "90 .. 110 %", "between 0 and 100 %"},
    {"stage", "medium-temperature -300 C", "-300 C", "-273.15 C"},
    {"batch", "count -3", "-3", "from 0 up"},
    {"stick", "depth 1/3 of depth", "depth", "a share of itself"},
    {"stick", "depth 1/3 of leaves", "leaves", "a share of another length only"},
    {"stick", "depth 1/3 of", "1/3 of", "a share of what?"},
    {"stick", "depth 1/3 of length, 20 mm", "20 mm", "either a length or a share"},
    {"take", "leaves 1/2 of nodes", "1/2", "only a length can be a share"},
    {"container", "footprint 54 cm x 28 in", "cm", "all sides are in one unit"},
    {"container", "footprint 54 x 28", "54", "54 what?"},
    {"container", "footprint 54 cm", "54 cm", "two or three sides"},
    {"container", "footprint 0 x 28 cm", "0", "no side of a size is 0"},
    {"container", "footprint 54 x 28 x 3 x 2 cm", "2 cm", "has no meaning here"},
    {"task", "takes 2 cm per tray", "cm", "a duration"},
    {"task", "takes 2 min per", "2 min per", "per what? tray"},
    {"task", "takes 2 min per 100 m", "100 m", "per what? tray"},
    {"take", "work 200 .. 600", "200 .. 600", "per hour"},
    {"take", "work 2 min per hour", "min", "a bare number"},
    {"finish", "pays at least 70 %", "at least 70 %", "what share of them?"},
    {"take", "hour 09:00 .. 06:00", "09:00 .. 06:00", "run backwards"},
    {"treat", "dilution 1:10", "1:10",
     "1:10 can be read two ways: 1 + 10 is 1/11, 1 in 10 is 1/10; write one of them"}, /* V7 */
    {"treat", "dilution 10 %", "10 %", "takes a dilution"},
    {"treat", "dilution 0 + 9", "0 + 9", "two numbers over 0"},
    {"treat", "dilution 3 in 2", "3 in 2", "no more than the whole"},
    {"take", "window 18 Jun 2027", "18 Jun 2027", "leave out the year"},
    {"take", "window 18 Jun .. 5 Jul 2027", "5 Jul 2027", "leave out the year"},
    {"take", "window 6/7", "6/7", "6/7 can be read as 6 Jul or 7 Jun: write the month as a word"},
    {"take", "window 2 weeks after", "2 weeks after", "after or before which event"},
    {"take", "window 2 weeks", "2 weeks", "after or before what?"},
    {"batch", "stick 18 Jun", "18 Jun", "which year"},
    {"batch", "stick mid Feb 2300", "2300", "from 1900 to 2199"},
    {"batch", "stick 17 Jun .. 14 Jun 2027", "17 Jun .. 14 Jun 2027", "run backwards"},
    {"batch", "stick 29 Feb .. 3 Mar 2027", "29 Feb", "no leap year"},
    {"batch", "stick 18 Jun 2027, 19 Jun 2027", "19 Jun 2027", "one date"},
    {"batch", "want 2.5 by 1 Apr 2028", "2.5", "a whole number"},
    {"site", "last-frost 28 Apr 2027", "28 Apr 2027", "leave out the year"},
    {"site", "closed Sat \"x\", 24 Dec", "\"x\"", "behind all days"},
    {"stage", "lasts 18 h", "18 h", "whole days"},
    {"stage", "lasts 2 .. 3 months", "months", "use weeks, or until a date"},
    {"stage", "lasts at least 10 days", "at least 10 days", "both ends"},
    {"stage", "lasts until end", "until end", "the stage itself"},
    {"stage", "begins 1 week after start", "1 week after start", "the stage itself"},
    {"stage", "lasts 15 cm", "cm", "not a length"},
    {"task", "at mid Mar", "mid Mar", "hangs on the batch"},
    {"task", "at 2 weeks", "2 weeks", "after or before what?"},
    {"task", "at before stick", "before", "how long before?"},
    {"task", "at each", "each", "which task?"},
    {"task", "at end of", "of", "of which stage?"},
    {"task", "at day 1.5", "1.5", "whole numbers"},
    {"task", "every 12 h", "12 h", "use daily 08:00, 20:00"},
    {"task", "every 1 .. 2 weeks", "1 .. 2 weeks", "one number of days or weeks"},
    {"task", "every 0 days", "0 days", "at least 1 day"},
    {"task", "first day 14 .. 16", "day 14 .. 16", "one day"},
    {"task", "first 1 day before stick", "1 day before stick", "not before"},
    {"task", "latest 1 Apr .. 3 Apr", "1 Apr .. 3 Apr", "not a range"},
    {"task", "slack 2 .. 3 days", "2 .. 3 days", "one number of days"},
    {"task", "slack 3 h", "3 h", "whole days"},
    {"schedule", "day 0 .. 3", "0 .. 3", "what is set"},
    {"schedule", "day 3 .. 0 off", "3 .. 0", "run backwards"},
    {"schedule", "day off", "off", "begins with days"},
    {"schedule", "day 8 .. off", "off", "up to which day? for example 8 .. end"},
    {"take", "wood softwood, softwood", "softwood", "twice"},
    {"treat", "fresh-cut yes, no", "yes, no", "not both"},
    {"protocol", "base yes, no", "no", "not a list"},
    {"protocol", "based-on a, b", "b", "not a list"},
    {"protocol", "for Hydrangea, Salix", "Salix", "one plant a clause"},
    {"task", "dose N", "N", "begins with a concentration"},
    {"task", "count callused, callused", "callused", "twice"},
    {"task", "count 5", "5", "takes what is counted"},
    {"place", "holds 40 tray-77, 4 tray-77", "tray-77", "twice"},
    {"place", "holds tray-77", "tray-77", "takes how many"},
    {"stick", "medium 1 peat : 1 peat", "1 peat", "twice"},
    {"stick", "medium 1 peat : 0 perlite", "0", "more than 0"},
    {"stick", "medium peat : perlite", "peat", "how many parts"},
    {"stick", "medium 50 % peat : 50 % bark", "50 %", "without a unit"},
    {"stick", "medium 1 peat, 1 sand", "1 sand", "one mix"},
    {"task", "say Lift", "Lift", "a text in quotes"},
    {"task", "say \"\"", "\"\"", "empty"},
    {"task", "teach es \"a\"", "es", "a text in quotes"},
    {"batch", "move pot 3 Aug 2027", "3 Aug 2027", "to which day?"},
    {"nursery", "judge wet-big-leaves", "wet-big-leaves", "a finding and how it is judged"},
    {"treat", "hormone IBA 3000 ppm", "IBA 3000 ppm", "in which form? talc, quick-dip, soak, gel, spray"},
    {"treat", "hormone IBA talc", "IBA talc", "how strong?"},
    {"treat", "hormone IBA 3000 talc", "3000", "3000 what? ppm"},
    {"treat", "hormone IBA 3000 ppm talc 20 mm", "mm", "not a length"},
    {"treat", "hormone IBA 3000 ppm 8000 ppm talc", "8000 ppm", "one strength"},
    {"treat", "hormone IBA 3000 ppm talc gel", "gel", "one form"},
    {"treat", "hormone IBA 3000 ppm soak 1 h 2 h", "2 h", "one time"},
    {"treat", "hormone IBA 200 % talc", "200 %", "between 0 and 100 %"},
};

static const Refused words[] = {
    {"stick", "depth 20 mmm", "mmm", "no unit 'mmm'; did you mean mm?"},
    {"stick", "depth 20 furlongs", "furlongs", "no unit 'furlongs'; depth takes a length: in, cm, mm"},
    {"take", "leaves non", "non", "did you mean none?"},
    {"stick", "depth 1/3 of lenght", "lenght", "did you mean length?"},
    {"take", "wood softwod", "softwod", "did you mean softwood?"},
    {"take", "wood pine", "pine", "known are herbaceous, softwood"},
    {"take", "strip lower leaves", "lower leaves", "did you mean lower-leaves?"},
    {"task", "takes 2 min per trey", "trey", "did you mean tray?"},
    {"finish", "pays at least 70 % rootde", "rootde", "did you mean rooted?"},
    {"take", "window 2 weeks after last-frots", "last-frots", "did you mean last-frost?"},
    {"task", "at 2 weeks after stik", "stik", "did you mean stick?"},
    {"site", "work-days Mon .. Frei", "Frei", "did you mean Fri?"},
    {"treat", "hormone IBA 3000 ppm tallc", "tallc", "did you mean talc?"},
    {"treat", "hormone iba 3000 ppm talc", "iba", "written in capitals"},
    {"protocol", "ask dpeth", "dpeth", "did you mean depth?"},
    {"protocol", "ask rate", "rate", "no field 'rate' of a batch"},
    {"protocol", "drop dpeth", "dpeth", "did you mean depth?"},
    {"protocol", "drop ask stnads", "stnads", "did you mean stands?"},
    {"nursery", "judge wet-big-leaves as warn", "warn", "error, warning, note, off"},
};

static const Refused pairs[] = {
    {"stage", "lasts 2 weeks (20 days)", "(20 days)", "2 weeks is 14 days, not 20 days"},
    {"stick", "depth 1 .. 2 in (4 cm)", "(4 cm)", "a range is restated as a range"},
    {"treat", "hormone IBA 0.3 % (300 ppm) talc", "(300 ppm)", "0.3 % is 3000 ppm, not 300 ppm"},
    {"batch", "stick 18 Jun 2027 (2027-06-19)", "(2027-06-19)", "18 Jun 2027 is not 19 Jun 2027"},
};

static void check_refused(void **state, const Refused *rows, size_t count, const char *name)
{
    Bench bench = bench_of(state);
    for (size_t i = 0; i < count; i++) {
        Outcome outcome = bench_read(&bench, rows[i].block, rows[i].clause);
        if (!outcome.parsed || outcome.reading || outcome.notes != 1)
            fail_msg("%s: not refused by its reader with one note", rows[i].clause);
        const Note *note = outcome.note;
        Slice place = span_slice(note->place[0].span);
        if (strcmp(note->name, name) != 0) fail_msg("%s: called %s", rows[i].clause, note->name);
        if (!strstr(note->message, rows[i].message)) fail_msg("%s: %s", rows[i].clause, note->message);
        if (!slice_is(place, rows[i].at)) fail_msg("%s: at %.*s", rows[i].clause, SLICE_ARG(place));
        assert_int_equal(note->severity, SEVERITY_ERROR);
        assert_string_equal(note->subject, "subject");
        assert_string_equal(note->field, outcome.field->spelling);
    }
}

static void values_are_refused_in_plain_words(void **state)
{
    check_refused(state, values, CHECK_COUNT(values), "value");
}

static void unknown_words_name_the_nearest(void **state)
{
    check_refused(state, words, CHECK_COUNT(words), "unknown-word");
}

static void pairs_that_disagree_are_refused(void **state)
{
    check_refused(state, pairs, CHECK_COUNT(pairs), "restated-value");
}

/* ------------------------------------------------------------------ published numbers */

static Interval only_interval(const Reading *reading)
{
    assert_int_equal(reading->numbers.count, 1);
    return reading->numbers.at[0];
}

static void strengths_as_published(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *clause;
        int ppm;
    } rows[] = {
        {"hormone IBA 0.8 % talc", 8000}, /* V1, JEH-10 */
        {"hormone IBA 0.3 % talc", 3000}, /* V2, JEH-10 */
        {"hormone IBA 0.3 % (3000 ppm) talc", 3000},
        {"hormone IBA 5000 mg/kg (0.5 %) talc", 5000}, /* V3, HYD-AB */
        {"hormone IBA 1 g/L quick-dip 5 s", 1000},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        const Reading *reading = bench_accept(&bench, "treat", rows[i].clause);
        assert_int_equal(reading->dose_count, 1);
        assert_true(number_equal(reading->doses[0].strength.low.at, NUMBER(rows[i].ppm)));
    }
}

static void conversions_as_published(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *block, *clause, *unit, *printed;
    } rows[] = {
        {"stage", "medium-temperature 70 .. 75 F", "C", "21.11 .. 23.89 C"}, /* V20, LPPI-371: 21.1-23.9 */
        {"stage", "medium-temperature 75 .. 80 F", "C", "23.89 .. 26.67 C"}, /* V21, LPPI-189: 23.9-26.7 */
        {"stage", "medium-temperature 65 .. 70 F", "C", "18.33 .. 21.11 C"}, /* V22, LPPI-364: 18.3-21.1 */
        {"stage", "medium-temperature 22 C", "F", "71.6 F"},                 /* V25, HYD-AB */
        {"stage", "night-low -9 F", "C", "-22.78 C"},                        /* V26, GA-COLD: -22.8 */
        {"container", "volume 6.5 cu in", "mL", "106.52 mL"},                /* V27, RNGR-L: 106.5 */
        {"container", "volume 20.5 cu in", "mL", "335.93 mL"},               /* V28, SAL-RN: 335.9 */
        {"container", "volume 10 cu in", "mL", "163.87 mL"},                 /* V29, COR-RN: 163.9 */
        {"take", "length 16 .. 18 in", "cm", "40.64 .. 45.72 cm"},           /* V30, GRAPE-UC */
        {"take", "length 3 in", "cm", "7.62 cm"},                            /* V31, SAL-RN */
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Outcome outcome = bench_read(&bench, rows[i].block, rows[i].clause);
        assert_non_null(outcome.reading);
        const Unit *unit = unit_find(slice_of(rows[i].unit), outcome.field->dimension);
        assert_string_equal(reading_print(bench.arena, outcome.field, outcome.reading, unit),
                            rows[i].printed);
    }
}

static void restated_pairs_on_both_sides(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *block, *clause;
        bool agrees;
    } rows[] = {
        {"stage", "medium-temperature 70 .. 75 F (21.1 .. 23.9 C)", true}, /* V20 */
        {"stage", "medium-temperature 75 .. 80 F (23.9 .. 26.7 C)", true}, /* V21 */
        {"stage", "medium-temperature 65 .. 70 F (18.3 .. 21.1 C)", true}, /* V22 */
        {"stage", "medium-temperature 40 F (7.2 C)", false}, /* V23, RUT-528: prints a wrong pair */
        {"stage", "medium-temperature 40 F (4.4 C)", true},  /* V23: what it is */
        {"stage", "medium-temperature 70 .. 72 F (21 .. 24 C)", false}, /* V24, SAL-GM: prints a wrong pair */
        {"stage", "medium-temperature 72 F (24 C)", false},
        {"stage", "medium-temperature 22 C (71.6 F)", true}, /* V25 */
        {"stage", "night-low -9 F (-22.8 C)", true},         /* V26 */
        {"container", "volume 6.5 cu in (107 mL)", true},    /* V27 */
        {"container", "volume 20.5 cu in (336 mL)", true},   /* V28 */
        {"container", "volume 10 cu in (163.9 mL)", true},   /* V29 */
        {"take", "length 16 .. 18 in (40 .. 45 cm)", true},  /* V30 */
        {"take", "length 3 in (7.5 cm)", true},              /* V31: within 2 % */
        /* one unit of the last digit, inside: 50 F is 10 C */
        {"stage", "medium-temperature 50 F (11 C)", true},
        {"stage", "medium-temperature 50 F (11.1 C)", false},
        {"stage", "medium-temperature 50 F (9.0 C)", false},
        {"stage", "medium-temperature 50 F (9.9 C)", true},
        {"stage", "medium-temperature 95 F (35.5 C)",
         false}, /* 35 C: within 2 %, which is nothing for temperatures */
        /* 2 % of 100 cm is 20 mm, and both are more than a tenth of a millimetre */
        {"take", "length 100 cm (1020.0 mm)", true},
        {"take", "length 100 cm (1020.1 mm)", false},
        {"take", "length 100 cm (980.0 mm)", true},
        {"take", "length 100 cm (979.9 mm)", false},
        /* a fraction is as fine as its lower part: 1 in is 25.4 mm */
        {"take", "length 25 mm (1 in)", true},
        {"take", "length 20 mm (1/2 in)", true},
        {"take", "length 26 mm (1/2 in)", false},
        {"stage", "medium-temperature about 22 C (72 F)", true},
        {"hold", "lasts at most 5 h (300 min)", true},
        {"hold", "lasts at most 5 h (250 min)", false},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Outcome outcome = bench_read(&bench, rows[i].block, rows[i].clause);
        assert_true(outcome.parsed);
        if ((outcome.reading != NULL) != rows[i].agrees)
            fail_msg("%s: %s", rows[i].clause, outcome.note ? outcome.note->message : "passed");
        if (!rows[i].agrees) assert_string_equal(outcome.note->name, "restated-value");
    }
    /* The first counts. */
    Interval first = only_interval(bench_accept(&bench, "take", "length 3 in (7.5 cm)"));
    assert_true(number_equal(first.low.at, ((Number){381, 5})));
}

/* ------------------------------------------------------------------ what a reading holds */

static void spans_keep_their_order_and_middle(void **state)
{
    Bench bench = bench_of(state);
    static const struct {
        const char *block, *clause;
        int low, planned, high;
    } rows[] = {
        {"stage", "lasts 2 .. 3 weeks", 14, 18, 21}, /* halves go to the later day */
        {"stage", "lasts 4 .. 6 weeks", 28, 35, 42},
        {"stage", "lasts 10 days", 10, 10, 10},
        {"task", "at 2 .. 3 days before end", -3, -2, -2},
        {"task", "at 2 .. 4 weeks before end", -28, -21, -14},
        {"task", "at 5 .. 6 weeks after stick", 35, 39, 42},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        DaySpan span = bench_accept(&bench, rows[i].block, rows[i].clause)->span;
        assert_int_equal(span.low, rows[i].low);
        assert_int_equal(span.planned, rows[i].planned);
        assert_int_equal(span.high, rows[i].high);
    }
}

static void moments_are_kept_as_written(void **state)
{
    Bench bench = bench_of(state);
    const Reading *ready = bench_accept(&bench, "task", "at 2 weeks after ready root");
    assert_int_equal(ready->moment.kind, MOMENT_END);
    assert_ptr_equal(ready->moment.stage, names_find(bench.names, SLICE("root")));
    const Reading *frost = bench_accept(&bench, "task", "at 4 weeks before first-frost");
    assert_int_equal(frost->moment.kind, MOMENT_EVENT);
    assert_ptr_equal(frost->moment.event, names_find(bench.names, SLICE("first-frost")));
    assert_null(frost->moment.stage);
    assert_int_equal(bench_accept(&bench, "stage", "lasts 2 weeks")->length, LENGTH_DAYS);
    assert_int_equal(bench_accept(&bench, "stage", "lasts until mid Mar")->length, LENGTH_WINDOW);
    assert_int_equal(bench_accept(&bench, "stage", "lasts until 6 weeks after stick")->length, LENGTH_MOMENT);
    assert_true(bench_accept(&bench, "task", "latest day 24")->latest_day);
}

static void flags_and_lists_are_set(void **state)
{
    Bench bench = bench_of(state);
    assert_true(bench_accept(&bench, "take", "leaf-trim none")->none);
    assert_true(bench_accept(&bench, "treat", "hormone none")->none);
    assert_true(bench_accept(&bench, "treat", "hormone none")->doses[0].none);
    assert_false(bench_accept(&bench, "treat", "wound none, light")->none);
    const Reading *relative = bench_accept(&bench, "stick", "depth 1/3 .. 1/2 of length");
    assert_true(relative->relative);
    assert_string_equal(relative->of->spelling, "length");
    const Reading *fields = bench_accept(&bench, "protocol", "ask depth, stands");
    assert_ptr_equal(fields->fields[1], field_find(SLICE("stands"), BLOCK_BATCH));
    const Reading *part = bench_accept(&bench, "batch", "stick mid Feb 2028");
    assert_true(part->part_of_month);
    assert_false(bench_accept(&bench, "batch", "stick 14 Jun .. 17 Jun 2027")->part_of_month);
    assert_int_equal(bench_accept(&bench, "batch", "stick 18 Jun 2027")->minutes, -1);
    assert_int_equal(bench_accept(&bench, "batch", "want 200 by 1 Apr 2028")->wanted.num, 200);
    const Reading *closed = bench_accept(&bench, "site", "closed 24 Dec .. 2 Jan \"winter break\"");
    assert_string_equal(closed->days.ranges[0].why, "winter break");
    const Reading *folded = bench_accept(&bench, "take", "wood softwood,  # this year's\n    greenwood");
    assert_true(slice_is(folded->written, "softwood, greenwood"));
}

/* `must` has a place of its own in a clause, so this value is put together by hand. */
static void a_strength_can_be_taken_away(void **state)
{
    Bench bench = bench_of(state);
    Part depth = {.kind = PART_WORD, .word = SLICE("depth")};
    Part must = {.kind = PART_WORD, .word = SLICE("must"), .next = &depth};
    Phrase phrase = {.first = &must};
    Mix mix = {.first = &phrase};
    Value value = {.first = &mix};
    ReadContext context = {bench.arena, bench.names, notes_new(bench.arena, 4), NULL};
    const Field *drop = field_find(SLICE("drop"), BLOCK_PROTOCOL);
    const Reading *reading = reading_of_value(&context, drop, &value, (Span){NULL, 0, 0}, "subject");
    assert_non_null(reading);
    assert_false(reading->drop_any_strength);
    assert_int_equal(reading->drop_strength, STRENGTH_MUST);
    assert_true(slice_is(name_slice(reading->words[0].name), "depth"));
    assert_true(bench_accept(&bench, "protocol", "drop task pot")->drop_any_strength);
    assert_int_equal(bench_accept(&bench, "protocol", "drop task pot")->drop_block, BLOCK_TASK);
}

static void lists_have_an_end(void **state)
{
    Bench bench = bench_of(state);
    for (int count = 1000; count <= 1001; count++) {
        char *clause = ARENA_ARRAY(bench.arena, char, 16 * 1001 + 64);
        size_t length = (size_t)snprintf(clause, 64, "reject w0");
        for (int i = 1; i < count; i++) length += (size_t)snprintf(clause + length, 16, ", w%d", i);
        assert_int_equal(bench_read(&bench, "take", clause).reading != NULL, count == 1000);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(each_type_takes_its_values),     CHECK_WITH_ARENA(values_are_refused_in_plain_words),
        CHECK_WITH_ARENA(unknown_words_name_the_nearest), CHECK_WITH_ARENA(pairs_that_disagree_are_refused),
        CHECK_WITH_ARENA(strengths_as_published),         CHECK_WITH_ARENA(conversions_as_published),
        CHECK_WITH_ARENA(restated_pairs_on_both_sides),   CHECK_WITH_ARENA(spans_keep_their_order_and_middle),
        CHECK_WITH_ARENA(moments_are_kept_as_written),    CHECK_WITH_ARENA(flags_and_lists_are_set),
        CHECK_WITH_ARENA(a_strength_can_be_taken_away),   CHECK_WITH_ARENA(lists_have_an_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL) != 0;
}
