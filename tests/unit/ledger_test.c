/* analysis/ledger: what is known of a batch from its record. The numbers of the two worked examples and of
 * the records of a whole year are those of docs/records.md. */
#include "check.h"

#include "analysis/ledger.h"
#include "syntax/read.h"

static Nursery *nursery_of(Arena *arena, const char *records)
{
    Nursery *nursery = nursery_new(arena, notes_new(arena, 100));
    const char *source = arena_print(arena,
                                     "site yard { latitude 51 deg }\n"
                                     "place bench { site yard; enclosure mist }\n"
                                     "place store { site yard; enclosure frame }\n"
                                     "place frame { site yard; enclosure frame }\n"
                                     "container pot-9 { cells 1 }\n"
                                     "container pot-1L { cells 1 }\n%s",
                                     records);
    Text *text = text_new(arena, "r.heel", source, (uint32_t)strlen(source), 1);
    nursery_add(nursery, syntax_read(arena, text, nursery->notes), false);
    nursery_finish(nursery);
    size_t count;
    Note *const *notes = notes_sorted(nursery->notes, &count);
    for (size_t i = 0; i < count; i++) print_error("%s\n", notes[i]->message);
    assert_int_equal(count, 0);
    return nursery;
}

static Ledger ledger_at(const Nursery *nursery, const char *batch, Day until)
{
    Name name = names_intern(nursery->names, slice_of(batch));
    const Ledgers *ledgers = ledgers_new(nursery->arena, nursery);
    return ledger_of(ledgers, nursery->arena, name, nursery_find(nursery, BLOCK_RECORD, name), until);
}

static Ledger whole(const Nursery *nursery, const char *batch)
{
    Ledger ledger = ledger_at(nursery, batch, DAY_NONE);
    for (size_t i = 0; i < ledger.fault_count; i++) print_error("%s\n", ledger.faults[i].message);
    assert_int_equal(ledger.fault_count, 0);
    return ledger;
}

/* A batch A with these lines, and a batch B with those. */
static Ledger ledger_two(Arena *arena, const char *lines, const char *others)
{
    return ledger_at(
        nursery_of(arena, arena_print(arena, "record A {\n%s\n}\nrecord B {\n%s\n}\n", lines, others)), "A",
        DAY_NONE);
}

static Ledger ledger_one(Arena *arena, const char *lines)
{
    return ledger_two(arena, lines, "1 Jan 2027 note \"nothing\"");
}

static Day day_of(int year, int month, int day)
{
    Day made;
    assert_true(day_make(year, month, day, &made));
    return made;
}

/* ------------------------------------------------------------------ worked examples */

static const char first_example[] = "  8 Jun 2027  stuck 308\n"
                                    " 13 Jul 2027  counted rooted 248, callused 34, dead 26 of 308\n"
                                    " 13 Jul 2027  culled 26 \"rot\"\n"
                                    " 14 Jul 2027  restuck 34 to B\n"
                                    " 27 Jul 2027  split 60 to C\n"
                                    " 10 Aug 2027  lost 4\n";

static void test_first_example(void **state)
{
    Ledger ledger = ledger_one(*state, first_example);
    assert_int_equal(ledger.fault_count, 0);
    assert_int_equal(ledger.alive.count, 184);
    assert_int_equal(ledger.alive.basis, LEDGER_COUNTED);
    assert_int_equal(ledger.alive.since, day_of(2027, 7, 13));
    assert_int_equal(ledger.alive.less, 98);
    assert_int_equal(ledger.rooted.count, 248);
    assert_int_equal(ledger.rooted.of, 308);
    assert_int_equal(ledger.dead, 26);
    assert_int_equal(ledger.culled, 0);
    assert_int_equal(ledger.went_count, 2);
}

static void test_second_example(void **state)
{
    Ledger ledger = ledger_one(*state, " 15 Jun 2027  stuck 480\n"
                                       "  2 Jul 2027  counted callused 372, bare 60, rotted 48 of 480\n"
                                       "  2 Jul 2027  culled 48 \"rot\"\n"
                                       "  2 Jul 2027  culled 60 \"no callus\"\n"
                                       "  2 Jul 2027  restuck 41 to B\n"
                                       " 15 Mar 2028  counted alive 298, dead 33 of 331\n"
                                       " 22 Mar 2028  culled 26 \"no root\"\n");
    assert_int_equal(ledger.fault_count, 0);
    assert_int_equal(ledger.alive.count, 272);
    assert_int_equal(ledger.culled, 86);
    assert_int_equal(ledger.dead, 81);
    assert_null(ledger.rooted.line); /* alive is not rooted */
}

/* ------------------------------------------------------------------ a year of records */

static const char year[] =
    "record V-02 {\n"
    "   5 Feb 2027  arrived 1100 \"box warm, one bag loose\"\n"
    "   5 Feb 2027  held 1100 at store 5 C\n"
    "   8 Feb 2027  stuck 1050 of 1100, 50 thrown \"wilted\"\n"
    "   8 Feb 2027  note \"nobody on Saturday\"\n"
    "   8 Feb 2027  moved bench \"two weeks, own apron\"\n"
    "  12 Feb 2027  sample 20: callused 9, bare 8, rotted 3\n"
    "  14 Feb 2027  failing \"yellow at the base, glassy; night mist cut\"\n"
    "  15 Feb 2027  fed 60 ppm N\n"
    "  15 Feb 2027  treated \"drench against basal rot, by its label\", shut until 16 Feb 2027 08:00\n"
    "  17 Feb 2027  culled 190 \"rot\"\n"
    "  22 Feb 2027  ready root\n"
    "  23 Feb 2027  mist off\n"
    "  15 Mar 2027  counted rooted 712, dead 148 of 860\n"
    "  16 Mar 2027  potted 400 lot a, pot-9\n"
    "  23 Mar 2027  potted 300 lot b, pot-9\n"
    "  23 Mar 2027  culled 12 \"weak\"\n"
    "  24 Mar 2027  moved frame\n"
    "   6 May 2027  sold 380 lot a\n"
    "   6 May 2027  ended \"cut short by the weekend in the box: 712 of 1050 rooted\"\n"
    "}\n"
    "record V-03 {\n"
    "  18 Jan 2027  taken 1240 from osier-row\n"
    "  18 Jan 2027  held 1240 at store 2 C\n"
    "   1 Feb 2027  check mouldy 0, dry 0, swelling 0 of 5 bags\n"
    "  15 Feb 2027  culled 12 \"mould\"\n"
    "  23 Mar 2027  stuck 1200 of 1228, 28 thrown \"buds rubbed\"\n"
    "  19 Apr 2027  ready start\n"
    "   3 May 2027  counted alive 1164, dead 36 of 1200\n"
    "  21 Jun 2027  check alive 1164\n"
    "  30 Oct 2027  leaf-fall\n"
    "  15 Nov 2027  lifted 800 tall\n"
    "  22 Nov 2027  lifted 320 middle\n"
    "  22 Nov 2027  culled 44 \"canker, cut out, burnt\"\n"
    "  22 Nov 2027  ended \"1,200 stuck, 1,164 alive, 1,120 lifted\"\n"
    "}\n"
    "record V-05 {\n"
    "   8 Jun 2027  taken 320 from cone-row \"06:15, cool, leaf dry\"\n"
    "   8 Jun 2027  stuck 308 of 320, 12 thrown \"too soft\"\n"
    "  11 Jun 2027  check gnats-per-card 4\n"
    "  22 Jun 2027  ready callus\n"
    "   6 Jul 2027  sample 8: rooted 5, callused 3\n"
    "  13 Jul 2027  counted rooted 248, callused 34, dead 26 of 308\n"
    "  13 Jul 2027  trial leaf-halved: whole 131 of 154, halved 117 of 154\n"
    "  13 Jul 2027  culled 26 \"rot\"\n"
    "  13 Jul 2027  restuck 34 to V-05r\n"
    "  13 Jul 2027  ready root\n"
    "  14 Jul 2027  weaned step 1\n"
    "  27 Jul 2027  split 60 to V-05s \"for the shade wall, potted first\"\n"
    "   3 Aug 2027  potted 120 lot a, pot-9\n"
    "  10 Aug 2027  potted 64 lot b, pot-9\n"
    "  10 Aug 2027  lost 4\n"
    "  21 Sep 2027  check alive 182\n"
    "  18 Oct 2027  moved frame \"forecast -1 C for the night of 19 Oct\"\n"
    "  20 Oct 2027  correct 21 Sep 2027 alive 178 \"one tray counted twice\"\n"
    "}\n"
    "record V-05r {\n"
    "  13 Jul 2027  stuck 34 \"callused, from V-05\"\n"
    "   3 Aug 2027  counted rooted 22, dead 12 of 34\n"
    "   3 Aug 2027  culled 12 \"rot\"\n"
    "  10 Aug 2027  potted 22 lot a, pot-9\n"
    "}\n"
    "record V-05s {\n"
    "  27 Jul 2027  potted 60 lot a, pot-9 \"from V-05\"\n"
    "}\n"
    "record V-06 {\n"
    "  15 Jun 2027  taken 495 from low-row\n"
    "  15 Jun 2027  stuck 480 of 495, 15 thrown\n"
    "  29 Jun 2027  sample 30: callused 18, bare 10, rotted 2\n"
    "   2 Jul 2027  counted callused 372, bare 60, rotted 48 of 480\n"
    "   2 Jul 2027  culled 48 \"rot\"\n"
    "   2 Jul 2027  culled 60 \"no callus\"\n"
    "   2 Jul 2027  ready callus\n"
    "   2 Jul 2027  restuck 41 to V-06r \"lifted out before the rot reached them\"\n"
    "   6 Aug 2027  sample 40: rooted 36, bare 4\n"
    "  10 Aug 2027  ready root\n"
    "  24 Aug 2027  open off\n"
    "  15 Mar 2028  counted alive 298, dead 33 of 331\n"
    "  22 Mar 2028  potted 210 lot a, pot-1L, grade 1\n"
    "  22 Mar 2028  potted 62 lot b, pot-1L, grade 2\n"
    "  22 Mar 2028  culled 26 \"no root\"\n"
    "  22 Mar 2028  ended \"272 of 480 potted\"\n"
    "}\n"
    "record V-06r {\n"
    "   2 Jul 2027  stuck 41 \"callused, from V-06\"\n"
    "  16 Jul 2027  check callused 38, rotted 3 of 41\n"
    "  24 Aug 2027  counted rooted 33, dead 8 of 41\n"
    "   5 Apr 2028  potted 29 lot a, pot-1L\n"
    "   5 Apr 2028  lost 4\n"
    "}\n";

static void test_year(void **state)
{
    static const struct {
        const char *batch;
        int64_t stuck, alive, in_lots, rooted, dead, culled, sold, thrown;
        bool ended;
    } rows[] = {
        {"V-02", 1050, 320, 320, 712, 148, 202, 380, 50, true},
        {"V-03", 1200, 1120, 1120, 0, 36, 44, 0, 28, true},
        {"V-05", 308, 178, 178, 248, 26, 0, 0, 12, false},
        {"V-05r", 34, 22, 22, 22, 12, 0, 0, 0, false},
        {"V-05s", 60, 60, 60, 0, 0, 0, 0, 0, false},
        {"V-06", 480, 272, 272, 0, 81, 86, 0, 15, true},
        {"V-06r", 41, 29, 29, 33, 8, 0, 0, 0, false},
    };
    const Nursery *nursery = nursery_of(*state, year);
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        print_message("%s\n", rows[i].batch);
        Ledger ledger = whole(nursery, rows[i].batch);
        assert_int_equal(ledger.stuck, rows[i].stuck);
        assert_int_equal(ledger.alive.count, rows[i].alive);
        assert_int_equal(ledger.in_lots, rows[i].in_lots);
        assert_int_equal(ledger.rooted.count, rows[i].rooted);
        assert_int_equal(ledger.dead, rows[i].dead);
        assert_int_equal(ledger.culled, rows[i].culled);
        assert_int_equal(ledger.sold, rows[i].sold);
        assert_int_equal(ledger.thrown, rows[i].thrown);
        assert_int_equal(ledger.ended != NULL, rows[i].ended);
        assert_int_equal(ledger.stuck,
                         ledger.alive.count + ledger.dead + ledger.culled + ledger.lost + ledger.split +
                             ledger.restuck + ledger.sold +
                             (rows[i].alive == 178 ? 6 : 0)); /* put right, and nobody says why */
    }
}

/* What the year's records say of the state of a batch, at its end and on days before. */
static void test_state_on_days(void **state)
{
    const Nursery *nursery = nursery_of(*state, year);
    Ledger early = ledger_at(nursery, "V-02", day_of(2027, 2, 15));
    assert_non_null(early.failing);
    assert_int_equal(early.shut->day_open, day_of(2027, 2, 16));
    assert_int_equal(early.shut->minutes, 8 * 60);
    assert_int_equal(early.alive.count, 1050);
    assert_int_equal(early.alive.basis, LEDGER_STUCK);
    assert_null(early.ended);
    Ledger later = ledger_at(nursery, "V-02", day_of(2027, 2, 22));
    assert_null(later.failing);
    assert_int_equal(later.alive.count, 860);
    assert_int_equal(later.alive.less, 190);
    Ledger other = whole(nursery, "V-05");
    assert_int_equal(other.last_look->day, day_of(2027, 9, 21));
    assert_int_equal(other.sampled.count, 5);
    assert_int_equal(other.sampled.of, 8);
    assert_int_equal(other.alive.basis, LEDGER_CORRECTED);
    assert_string_equal(other.place->thing->text, "frame");
    assert_string_equal(other.went[1].line->other->text, "V-05s");
    Ledger sub = whole(nursery, "V-05s");
    assert_int_equal(sub.alive.basis, LEDGER_CAME);
    assert_int_equal(sub.began, day_of(2027, 7, 27));
    assert_string_equal(sub.came[0].record->name->text, "V-05");
}

/* ------------------------------------------------------------------ what cannot be true */

static void test_faults(void **state)
{
    static const struct {
        const char *lines, *others, *finding, *place, *message;
    } rows[] = {
        {"1 Jun 2027 stuck 50; 2 Jun 2027 culled 51", "", "record-count", "51",
         "culled 51, and there were 50"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 counted rooted 40, dead 9 of 49", "", "record-count", "49",
         "counted 49, and there were 50"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 counted rooted 40, dead 9 of 50", "", "record-count", "50",
         "what was counted makes 49, not 50"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 counted rooted 40, dead 9", "", "record-count",
         "counted rooted 40, dead 9", "counted 49, and there were 50"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 sample 8: rooted 5, bare 4", "", "record-count", "8",
         "what was seen makes 9, not 8"},
        {"1 Jun 2027 stuck 5; 2 Jun 2027 sample 8: rooted 5", "", "record-count", "8",
         "a sample of 8, and there were 5"},
        {"1 Jun 2027 stuck 50 of 60, 12 thrown", "", "record-count", "50",
         "50 stuck and 12 thrown make 62, not 60"},
        {"1 Jun 2027 taken 60; 1 Jun 2027 stuck 50 of 61, 11 thrown", "", "record-count", "61",
         "of 61, and 60 were there to be stuck"},
        {"1 Jun 2027 taken 60; 1 Jun 2027 stuck 61", "", "record-count", "61",
         "61 stuck and 0 thrown make 61, not 60"},
        {"1 Jun 2027 taken 60; 1 Jun 2027 culled 61", "", "record-count", "61",
         "culled 61, and there were 60 to be stuck"},
        {"1 Jun 2027 taken 60; 1 Jun 2027 held 61 at store", "", "record-count", "61",
         "held 61, and there were 60 to be held"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 potted 30 lot a; 3 Jun 2027 potted 21 lot b", "", "record-count",
         "21", "potted 21, and there were 20 in no lot yet"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 potted 30 lot a; 3 Jun 2027 sold 31 lot a", "", "record-count",
         "31", "sold 31, and there were 30 in the lot"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 potted 30 lot a; 3 Jun 2027 sold 3 lot b", "", "record-count",
         "3 Jun 2027 sold 3 lot b", "there is no lot b"},
        {"1 Jun 2027 stuck 50; 3 Jun 2027 correct 2 Jun 2027 alive 51", "", "record-count", "51",
         "51 alive, and 50 were stuck"},
        {"1 Jun 2027 stuck 50; 3 Jun 2027 lost 9; 4 Jun 2027 correct 2 Jun 2027 alive 8", "", "record-count",
         "8", "8 alive, and 9 have been taken off since that day"},
        {"1 Jun 2027 stuck 50; 3 Jun 2027 counted alive 50; 4 Jun 2027 correct 2 Jun 2027 alive 48", "",
         "record-count", "4 Jun 2027 correct 2 Jun 2027 alive 48",
         "all were counted after the day that this corrects"},
        {"1 Jun 2027 stuck 50; 4 Jun 2027 correct 31 May 2027 alive 48", "", "record-order",
         "4 Jun 2027 correct 31 May 2027 alive 48", "nothing was known yet on the day that this corrects"},
        {"1 Jun 2027 culled 3; 2 Jun 2027 stuck 50", "", "record-order", "1 Jun 2027 culled 3",
         "culled is recorded for 1 Jun 2027, before the cuttings were stuck"},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 ended; 3 Jun 2027 culled 3", "", "record-order",
         "3 Jun 2027 culled 3", "culled is recorded for 3 Jun 2027, after the batch was over"},
        {"1 Jun 2027 stuck 21", "20 May 2027 stuck 40; 1 Jun 2027 restuck 12 to A", "record-batches", "21",
         "21 were stuck here, and 12 came from B"},
        {"1 Jun 2027 culled 3", "20 May 2027 stuck 40; 2 Jun 2027 split 12 to A", "record-order",
         "1 Jun 2027 culled 3", "culled is recorded for 1 Jun 2027, before the cuttings were stuck"},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Ledger ledger = ledger_two(*state, rows[i].lines, rows[i].others);
        print_message("%s\n", rows[i].lines);
        assert_int_equal(ledger.fault_count, 1);
        Slice place = span_slice(ledger.faults[0].place);
        assert_string_equal(ledger.faults[0].message, rows[i].message);
        assert_string_equal(ledger.faults[0].finding, rows[i].finding);
        assert_string_equal(arena_copy(*state, place.at, place.length), rows[i].place);
    }
}

/* One slip is told once: what follows from it is no news until somebody has counted. */
static void test_slip_told_once(void **state)
{
    Ledger ledger =
        ledger_one(*state, "1 Jun 2027 stuck 50; 2 Jun 2027 culled 300; 3 Jun 2027 lost 48\n"
                           "4 Jun 2027 lost 9; 5 Jun 2027 counted alive 11 of 11; 6 Jun 2027 lost 12");
    assert_int_equal(ledger.fault_count, 2);
    assert_string_equal(ledger.faults[0].message, "culled 300, and there were 50");
    assert_string_equal(ledger.faults[1].message, "lost 12, and there were 11");
    assert_int_equal(ledger.alive.count, 11);
}

/* ------------------------------------------------------------------ what is left open */

static void test_number_after(void **state)
{
    static const struct {
        const char *lines, *others;
        int64_t alive;
    } rows[] = {
        {"1 Jun 2027 stuck 50", "", 50},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 stuck 30", "", 80},
        {"3 Jun 2027 culled 5; 1 Jun 2027 stuck 50", "", 45}, /* the day counts, not the line */
        {"1 Jun 2027 stuck 50; 2 Jun 2027 sample 20: dead 20", "", 50},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 check dead 20", "", 50},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 died 5; 2 Jun 2027 culled 7", "", 43},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 died 5; 3 Jun 2027 culled 7", "", 38}, /* another day, others */
        {"1 Jun 2027 stuck 50; 2 Jun 2027 died 5; 3 Jun 2027 died 1; 3 Jun 2027 culled 7", "", 38},
        {"2 Jun 2027 counted alive 40, dead 10 of 50", "", 40},
        {"1 Jun 2027 stuck 50; 3 Jun 2027 lost 5; 4 Jun 2027 correct 2 Jun 2027 alive 48", "", 43},
        {"1 Jun 2027 stuck 50; 3 Jun 2027 correct 1 Jun 2027 stuck 40", "", 40},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 lost 9; 3 Jun 2027 correct 2 Jun 2027 not lost", "", 50},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 lost 9; 2 Jun 2027 lost 8; 3 Jun 2027 correct 2 Jun 2027 not lost "
         "8",
         "", 41},
        {"1 Jun 2027 stuck 50; 2 Jun 2027 ended; 3 Jun 2027 correct 2 Jun 2027 not ended; 4 Jun 2027 lost 1",
         "", 49},
        {"1 Jun 2027 stuck 12", "20 May 2027 stuck 40; 1 Jun 2027 restuck 12 to A", 12},
        {"1 Jun 2027 note \"here\"", "20 May 2027 stuck 40; 1 Jun 2027 restuck 12 to A", 12},
        {"1 May 2027 stuck 12", "20 May 2027 stuck 40; 1 Jun 2027 split 12 to A", 24}, /* added to its own */
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Ledger ledger = ledger_two(*state, rows[i].lines, rows[i].others);
        print_message("%s\n", rows[i].lines);
        assert_int_equal(ledger.fault_count, 0);
        assert_int_equal(ledger.alive.count, rows[i].alive);
    }
}

static void test_unknown(void **state)
{
    Ledger ledger = ledger_one(*state, "1 Jun 2027 culled 5; 2 Jun 2027 potted 5");
    assert_int_equal(ledger.fault_count, 0);
    assert_int_equal(ledger.alive.basis, LEDGER_UNKNOWN);
    ledger = ledger_at(nursery_of(*state, "record A { 1 Jun 2027 stuck 9; 2 Jun 2027 split 4 to B }"), "B",
                       DAY_NONE);
    assert_int_equal(ledger.alive.count, 4); /* it has no record of its own */
}

static void test_lots(void **state)
{
    Ledger ledger =
        ledger_one(*state, "1 Jun 2027 stuck 50; 2 Jun 2027 potted 30 lot a, pot-9\n"
                           "3 Jun 2027 potted 10 lot a, pot-9; 4 Jun 2027 culled 4 lot a\n"
                           "5 Jun 2027 culled 12; 6 Jun 2027 potted 34 lot a, pot-1L; 7 Jun 2027 sold 3");
    assert_int_equal(ledger.fault_count, 0);
    assert_int_equal(ledger.alive.count, 31);
    assert_int_equal(ledger.lot_count, 1);
    assert_int_equal(ledger.lots[0].count, 40);
    assert_int_equal(ledger.lots[0].there, 31); /* with one lot it is known which */
    assert_string_equal(ledger.lots[0].container->text, "pot-1L");
    assert_int_equal(ledger.in_lots, 31);
}

/* Lines made so that they can be true, beside the plainest way of keeping count of them. */
static void test_adds_up(void **state)
{
    static const char *const takers[] = {"culled", "died", "lost", "sold"};
    CheckRandom random = check_random("ledger");
    for (int round = 0; round < 200; round++) {
        unsigned alive = 500, gone = 0;
        const char *lines = "1 Jun 2027 stuck 500\n";
        for (unsigned day = 2; day <= 30; day++) {
            unsigned count = check_below(&random, alive / 4 + 1), kind = check_below(&random, 5);
            lines = kind < CHECK_COUNT(takers)
                        ? arena_print(*state, "%s%u Jun 2027 %s %u\n", lines, day, takers[kind], count)
                        : arena_print(*state, "%s%u Jun 2027 counted alive %u, rotted %u of %u\n", lines, day,
                                      alive - count, count, alive);
            alive -= count;
            gone += count;
        }
        Ledger ledger = ledger_one(*state, lines);
        assert_int_equal(ledger.fault_count, 0);
        assert_int_equal(ledger.alive.count, alive);
        assert_int_equal(ledger.dead + ledger.culled + ledger.lost + ledger.sold, gone);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_first_example), CHECK_WITH_ARENA(test_second_example),
        CHECK_WITH_ARENA(test_year),          CHECK_WITH_ARENA(test_state_on_days),
        CHECK_WITH_ARENA(test_faults),        CHECK_WITH_ARENA(test_slip_told_once),
        CHECK_WITH_ARENA(test_number_after),  CHECK_WITH_ARENA(test_unknown),
        CHECK_WITH_ARENA(test_lots),          CHECK_WITH_ARENA(test_adds_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
