/* What neighbouring tokens make of each other: see filter.h. */
#include "syntax/filter.h"

#include "base/unit.h"

#include <string.h>

void filter_start(Filter *filter, Arena *arena, const Text *text, Extent extent)
{
    memset(filter, 0, sizeof *filter);
    filter->arena = arena;
    filter->text = text;
    filter->begins = true;
    filter->last.kind = TOKEN_END;
    clauses_start(&filter->clauses, arena, text, extent);
}

/* ------------------------------------------------------------------ looking ahead */

/* Tokens are handed on by value: inlined, each is built where it is wanted. */
static inline const Lexeme *peek(Filter *filter, unsigned distance)
{
    for (; filter->count <= distance; filter->count++)
        filter->ahead[(filter->first + filter->count) % FILTER_AHEAD] = clauses_next(&filter->clauses);
    return &filter->ahead[(filter->first + distance) % FILTER_AHEAD];
}

static Slice slice_at(const Filter *filter, Extent extent)
{
    return (Slice){filter->text->bytes + extent.begin, extent.end - extent.begin};
}

static inline Slice peek_slice(Filter *filter, unsigned distance)
{
    return slice_at(filter, peek(filter, distance)->extent);
}

/* The next `count` tokens as one: the first, with the extent of all. */
static inline Token take(Filter *filter, unsigned count)
{
    const Lexeme *first = peek(filter, 0);
    Token token = {.kind = first->kind, .fault = first->fault, .extent = first->extent};
    token.extent.end = peek(filter, count - 1)->extent.end;
    filter->first = (filter->first + count) % FILTER_AHEAD;
    filter->count -= count;
    return token;
}

static inline Token take_as(Filter *filter, unsigned count, TokenKind kind)
{
    Token token = take(filter, count);
    token.kind = kind;
    token.word = slice_at(filter, token.extent);
    return token;
}

static Token refuse(Filter *filter, unsigned count, Fault fault)
{
    Token token = take(filter, count);
    token.kind = TOKEN_FAULT;
    token.fault = fault;
    return token;
}

/* No blank between this token and the one before it. */
static bool touches(Filter *filter, unsigned distance)
{
    return peek(filter, distance)->extent.begin == peek(filter, distance - 1)->extent.end;
}

static bool peek_is_word(Filter *filter, unsigned distance, const char *word)
{
    return peek(filter, distance)->kind == TOKEN_WORD && slice_is(peek_slice(filter, distance), word);
}

/* ------------------------------------------------------------------ figures */

/* A whole number in figures of at least `least` and at most `most` digits, or -1. */
static int figures(Slice text, size_t least, size_t most)
{
    if (text.length < least || text.length > most) return -1;
    int value = 0;
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] < '0' || text.at[i] > '9') return -1;
        value = value * 10 + (text.at[i] - '0');
    }
    return value;
}

static int peek_figures(Filter *filter, unsigned distance, size_t least, size_t most)
{
    if (peek(filter, distance)->kind != TOKEN_NUMBER) return -1;
    return figures(peek_slice(filter, distance), least, most);
}

static bool peek_month(Filter *filter, unsigned distance, int *month)
{
    return peek(filter, distance)->kind == TOKEN_WORD && month_find(peek_slice(filter, distance), month);
}

/* `jun`, `JUNE`: a month but for its case; and the one month that many shorten otherwise. */
static bool peek_month_in_other_case(Filter *filter, unsigned distance)
{
    Slice word = peek_slice(filter, distance);
    char name[16];
    if (peek(filter, distance)->kind != TOKEN_WORD || word.length >= sizeof name) return false;
    for (size_t i = 0; i < word.length; i++) {
        char c = word.at[i];
        bool lower = c >= 'a' && c <= 'z', upper = c >= 'A' && c <= 'Z';
        if (!lower && !upper) return false;
        bool change = i == 0 ? lower : upper;
        name[i] = change ? (char)(c ^ 0x20) : c;
    }
    int month;
    Slice spelt = {name, word.length};
    return slice_is(spelt, "Sept") || month_find(spelt, &month);
}

/* ------------------------------------------------------------------ dates and times */

static Token date(Filter *filter, unsigned count, int year, int month, int day)
{
    if (year < YEAR_FIRST || year > YEAR_LAST) return refuse(filter, count, FAULT_YEAR);
    Day made;
    if (!day_make(year, month, day, &made)) return refuse(filter, count, FAULT_NO_SUCH_DAY);
    Token token = take_as(filter, count, TOKEN_DATE);
    token.date = made;
    return token;
}

static Token date_in_figures(Filter *filter)
{
    Slice text = peek_slice(filter, 0);
    int year = figures((Slice){text.at, 4}, 4, 4);
    int month = figures((Slice){text.at + 5, 2}, 2, 2);
    return date(filter, 1, year, month, figures((Slice){text.at + 8, 2}, 2, 2));
}

/* `18 Jun` and `18 Jun 2027`. */
static Token day_of_month(Filter *filter, int day, int month)
{
    int year = peek_figures(filter, 2, 4, 4);
    if (year >= 0) return date(filter, 3, year, month, day);
    enum { ANY_LEAP_YEAR = 2000 };
    if (day < 1 || day > month_length(ANY_LEAP_YEAR, month)) return refuse(filter, 2, FAULT_NO_SUCH_DAY);
    Token token = take_as(filter, 2, TOKEN_DAY);
    token.day = (YearDay){.month = (uint8_t)month, .part = PART_OF_MONTH_DAY, .day = (uint8_t)day};
    return token;
}

/* `09:00`, but not `1:10`, which is a mix. */
static bool time_of_day(Filter *filter, Token *token)
{
    int hours = peek_figures(filter, 0, 2, 2);
    if (hours < 0 || peek(filter, 1)->kind != TOKEN_COLON || !touches(filter, 1)) return false;
    int minutes = peek_figures(filter, 2, 2, 2);
    if (minutes < 0 || !touches(filter, 2)) return false;
    if (peek(filter, 3)->kind == TOKEN_COLON && touches(filter, 3)) return false;
    if (hours > 24 || minutes > 59 || (hours == 24 && minutes > 0)) return false;
    *token = take_as(filter, 3, TOKEN_TIME);
    token->minutes = hours * 60 + minutes;
    return true;
}

/* ------------------------------------------------------------------ numbers */

/* `1 000`: one blank, and three figures behind it. Two blanks leave two numbers. */
static unsigned grouped(Filter *filter)
{
    Slice text = peek_slice(filter, 0);
    if (figures(text, 1, 3) < 0 || text.at[0] == '0') return 0;
    unsigned count = 1;
    while (count < FILTER_AHEAD && peek(filter, count)->kind == TOKEN_NUMBER) {
        uint32_t before = peek(filter, count - 1)->extent.end;
        Slice next = peek_slice(filter, count);
        bool decimals = next.length > 4 && next.at[3] == '.';
        if (peek(filter, count)->extent.begin != before + 1) break;
        if (figures((Slice){next.at, decimals ? 3 : next.length}, 3, 3) < 0) break;
        count++;
    }
    return count > 1 ? count : 0;
}

/* The next number alone. */
static Token bare_number(Filter *filter)
{
    Number number;
    Slice text = peek_slice(filter, 0);
    if (!number_read(text, &number)) {
        const char *stroke = memchr(text.at, '/', text.length);
        bool zero = stroke != NULL;
        for (const char *at = stroke; zero && ++at < text.at + text.length;) zero = *at == '0';
        return refuse(filter, 1, zero ? FAULT_ZERO_BELOW : FAULT_NUMBER_SIZE);
    }
    Token token = take_as(filter, 1, TOKEN_NUMBER);
    token.number = number;
    return token;
}

static Token number(Filter *filter)
{
    if (filter->last.kind == TOKEN_SHARE_IN) return bare_number(filter);
    Token token;
    if (time_of_day(filter, &token)) return token;
    int month, day = peek_figures(filter, 0, 1, 2);
    if (day >= 0 && peek_month(filter, 1, &month)) return day_of_month(filter, day, month);
    if (day >= 0 && peek_month_in_other_case(filter, 1) && peek_figures(filter, 2, 4, 4) >= 0)
        return refuse(filter, 3, FAULT_MONTH_CASE);
    if (day >= 0 && peek_is_word(filter, 1, "Sept")) return refuse(filter, 2, FAULT_MONTH_CASE);
    unsigned groups = grouped(filter);
    if (groups > 0) return refuse(filter, groups, FAULT_GROUPED);
    if (figures(peek_slice(filter, 0), 1, 9) >= 0 && peek_is_word(filter, 1, "in") &&
        peek_figures(filter, 2, 1, 9) >= 0)
        filter->share = true;
    return bare_number(filter);
}

/* How many of the next tokens, written without blanks as in mol/m2/d, make the longest unit; 0: none does. */
static unsigned unit_with_strokes(Filter *filter)
{
    enum { MOST = 5 };
    unsigned count = 1;
    if (peek(filter, 0)->kind == TOKEN_WORD) {
        while (count < MOST && peek(filter, count)->kind == TOKEN_STROKE && touches(filter, count) &&
               peek(filter, count + 1)->kind == TOKEN_WORD && touches(filter, count + 1))
            count += 2;
    }
    for (; count > 0; count -= count > 1 ? 2 : 1) {
        Extent whole = {peek(filter, 0)->extent.begin, peek(filter, count - 1)->extent.end};
        if (unit_is_word(slice_at(filter, whole))) return count;
    }
    return 0;
}

/* `cu ft`: a unit of two words, whatever the blanks between them. Gives its spelling in the table, or NULL.
 */
static const char *unit_of_two_words(Filter *filter)
{
    char both[16];
    if (peek(filter, 0)->kind != TOKEN_WORD || peek(filter, 1)->kind != TOKEN_WORD) return NULL;
    Slice one = peek_slice(filter, 0), two = peek_slice(filter, 1);
    size_t length = one.length + 1 + two.length;
    if (length > sizeof both) return NULL;
    memcpy(both, one.at, one.length);
    both[one.length] = ' ';
    memcpy(both + one.length + 1, two.at, two.length);
    Slice spelling = {both, length};
    return unit_is_word(spelling) ? unit_find(spelling, DIM_NONE)->spelling : NULL;
}

static bool unit(Filter *filter, Token *token)
{
    if (filter->share || (peek(filter, 0)->kind != TOKEN_WORD && peek(filter, 0)->kind != TOKEN_PERCENT))
        return false;
    const char *spelling = unit_of_two_words(filter);
    unsigned count = spelling ? 2 : unit_with_strokes(filter);
    if (count == 0) return false;
    *token = take_as(filter, count, TOKEN_UNIT);
    if (spelling) token->word = slice_of(spelling);
    return true;
}

static bool is_value(TokenKind kind)
{
    return kind == TOKEN_NUMBER || kind == TOKEN_DATE || kind == TOKEN_DAY || kind == TOKEN_MONTH ||
           kind == TOKEN_TIME;
}

/* A minus in a phrase is the sign of the number that it touches. Between two values it is somebody's range.
 */
static Token minus(Filter *filter)
{
    if (filter->condition) return take(filter, 1);
    TokenKind before = filter->last.kind;
    bool behind_value = is_value(before) || before == TOKEN_UNIT;
    bool number = peek(filter, 1)->kind == TOKEN_NUMBER;
    bool apart = !behind_value || peek(filter, 0)->extent.begin > filter->last.extent.end;
    if (number && touches(filter, 1) && apart && before != TOKEN_NUMBER) return take(filter, 1);
    Token token = refuse(filter, number ? 2 : 1, FAULT_DASH_RANGE);
    if (behind_value) token.extent.begin = filter->value_begin;
    return token;
}

static Token percent(Filter *filter)
{
    return refuse(filter, 1, FAULT_PERCENT);
}

/* ------------------------------------------------------------------ words and texts */

static bool part_of_month(Slice word, DayPart *part)
{
    static const struct {
        const char *word;
        DayPart part;
    } parts[] = {
        {"early", PART_OF_MONTH_EARLY}, {"mid", PART_OF_MONTH_MID}, {"late", PART_OF_MONTH_LATE},
        {"start", PART_OF_MONTH_START}, {"end", PART_OF_MONTH_END},
    };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (!slice_is(word, parts[i].word)) continue;
        *part = parts[i].part;
        return true;
    }
    return false;
}

static inline Token plain_word(Filter *filter)
{
    if (peek_slice(filter, 0).length > TREE_NAME_LENGTH) return refuse(filter, 1, FAULT_WORD_LENGTH);
    return take_as(filter, 1, TOKEN_WORD);
}

/* `Jun 18 2027` and `Jun 18, 2027`. */
static unsigned month_first(Filter *filter)
{
    if (peek_figures(filter, 1, 1, 2) < 0) return 0;
    unsigned year = peek(filter, 2)->kind == TOKEN_COMMA ? 3 : 2;
    return peek_figures(filter, year, 4, 4) < 0 ? 0 : year + 1;
}

static Token month_word(Filter *filter, int month)
{
    unsigned reversed = month_first(filter);
    if (reversed > 0) return refuse(filter, reversed, FAULT_MONTH_FIRST);
    Token token = take_as(filter, 1, TOKEN_MONTH);
    token.day = (YearDay){.month = (uint8_t)month, .part = PART_OF_MONTH_WHOLE};
    return token;
}

static Token word(Filter *filter)
{
    Slice text = peek_slice(filter, 0);
    int month;
    DayPart part;
    if (filter->share) {
        filter->share = false;
        return take_as(filter, 1, TOKEN_SHARE_IN);
    }
    if (month_find(text, &month)) return month_word(filter, month);
    if (part_of_month(text, &part) && peek_month(filter, 1, &month)) {
        Token token = take_as(filter, 2, TOKEN_DAY);
        token.day = (YearDay){.month = (uint8_t)month, .part = (uint8_t)part};
        return token;
    }
    if (slice_is(text, "at") && peek_is_word(filter, 1, "most")) return take_as(filter, 2, TOKEN_AT_MOST);
    if (slice_is(text, "at") && peek_is_word(filter, 1, "least")) return take_as(filter, 2, TOKEN_AT_LEAST);
    TokenKind kind = token_keyword(text);
    bool strength = kind == TOKEN_MUST || kind == TOKEN_PREFER || kind == TOKEN_NEVER;
    if (strength && filter->drops)
        kind = TOKEN_WORD; /* drop must depth: the strength of what is taken away */
    return kind == TOKEN_WORD ? plain_word(filter) : take_as(filter, 1, kind);
}

/* Resolves \" \\ \n. False: some other escape, whose place is then *at. */
static bool resolve(Arena *arena, Slice written, Slice *text, size_t *at)
{
    *text = written;
    if (!written.length || !memchr(written.at, '\\', written.length)) return true;
    char *to = arena_copy(arena, written.at, written.length);
    text->at = to;
    text->length = 0;
    for (size_t i = 0; i < written.length; i++) {
        char c = written.at[i];
        if (c == '\\') {
            *at = i++;
            c = written.at[i];
            if (c != '"' && c != '\\' && c != 'n') return false;
            if (c == 'n') c = '\n';
        }
        to[text->length++] = c;
    }
    to[text->length] = '\0';
    return true;
}

static Token text(Filter *filter)
{
    Token token = take_as(filter, 1, TOKEN_TEXT);
    Slice written = {token.word.at + 1, token.word.length - 2};
    size_t at;
    if (!resolve(filter->arena, written, &token.word, &at)) {
        token.kind = TOKEN_FAULT;
        token.fault = FAULT_ESCAPE;
        token.extent.begin += 1 + (uint32_t)at;
        token.extent.end = token.extent.begin + 2;
    } else if (token.word.length > TREE_TEXT_LENGTH) {
        token.kind = TOKEN_FAULT;
        token.fault = FAULT_TEXT_LENGTH;
    }
    return token;
}

/* ------------------------------------------------------------------ citations */

static bool ends_place(const Lexeme *token)
{
    switch (token->kind) {
    case TOKEN_COMMA:
    case TOKEN_OPEN_SQUARE:
    case TOKEN_CLOSE_SQUARE:
    case TOKEN_END:
    case TOKEN_OPEN_BRACE:
    case TOKEN_CLOSE_BRACE:
    case TOKEN_FILE_END: return true;
    case TOKEN_FAULT: return token->fault == FAULT_OPEN_TEXT || token->fault == FAULT_BRACKET_DEPTH;
    default: return false;
    }
}

/* Inside [ ] stands a key, then whatever says where in the source, as one piece of text up to a comma or the
 * end. */
static Token citation(Filter *filter)
{
    const Lexeme *next = peek(filter, 0);
    if (filter->cited == CITED_KEY && next->kind == TOKEN_WORD) {
        filter->cited = CITED_PLACE;
        return plain_word(filter);
    }
    if (filter->cited == CITED_KEY || ends_place(next)) {
        bool another = next->kind == TOKEN_COMMA && filter->cited == CITED_PLACE;
        filter->cited = another ? CITED_KEY : CITED_NOTHING;
        return take(filter, 1);
    }
    Token token = take_as(filter, 1, TOKEN_CITED_PLACE);
    while (!ends_place(peek(filter, 0))) token.extent.end = take(filter, 1).extent.end;
    token.fault = FAULT_NONE;
    token.word = slice_at(filter, token.extent);
    return token;
}

/* ------------------------------------------------------------------ the next token */

static Token merge(Filter *filter)
{
    Token token;
    if (filter->last.kind == TOKEN_NUMBER && unit(filter, &token)) return token;
    switch (peek(filter, 0)->kind) {
    case TOKEN_NUMBER: return number(filter);
    case TOKEN_WORD: return word(filter);
    case TOKEN_DATE: return date_in_figures(filter);
    case TOKEN_TEXT: return text(filter);
    case TOKEN_MINUS: return minus(filter);
    case TOKEN_PERCENT: return percent(filter);
    default: return take(filter, 1);
    }
}

Token filter_next(Filter *filter)
{
    Token token = filter->cited == CITED_NOTHING ? merge(filter) : citation(filter);
    if (filter->begins) filter->condition = token.kind == TOKEN_WHEN || token.kind == TOKEN_WHERE;
    filter->drops = filter->begins && token.kind == TOKEN_WORD && slice_is(token.word, "drop");
    filter->begins =
        token.kind == TOKEN_END || token.kind == TOKEN_OPEN_BRACE || token.kind == TOKEN_CLOSE_BRACE;
    if (is_value(token.kind)) filter->value_begin = token.extent.begin;
    if (token.kind == TOKEN_OPEN_SQUARE) filter->cited = CITED_KEY;
    filter->last = (Taken){token.kind, token.extent};
    return token;
}
