/* Findings for a person at a terminal: one line that editors understand, then the typed line with the place
 * marked, what was found and allowed, the protocol's own line, and why. */
#include "write/report.h"

#include "base/columns.h"
#include "write/place.h"

#include <string.h>

enum { EXCERPT_COLUMNS = 100, EXCERPT_BEFORE = 40, TEXT_NOTES = 100 /* of one file */ };

static const char *const severity_color[SEVERITIES] = {
    [SEVERITY_NOTE] = "\033[36m", [SEVERITY_WARNING] = "\033[33m", [SEVERITY_ERROR] = "\033[31m"};

static void color(Buffer *out, const Report *report, const char *code)
{
    if (report->color) buffer_text(out, code);
}

/* ------------------------------------------------------------------ quoted lines */

/* The piece of a line around a place, in columns of the terminal. */
typedef struct Excerpt {
    Slice line;
    size_t begin, end; /* of the place */
    size_t from, to;   /* of the piece that is shown */
} Excerpt;

static Slice line_of(Span span)
{
    Slice line = text_line(span.text, span.begin);
    if (line.length && line.at[line.length - 1] == '\r') line.length--;
    return line;
}

static Excerpt excerpt_of(Span span)
{
    Excerpt excerpt = {.line = line_of(span)};
    size_t ahead = (size_t)(span.text->bytes + span.begin - excerpt.line.at);
    if (ahead > excerpt.line.length) ahead = excerpt.line.length;
    size_t inside = span.end > span.begin ? span.end - span.begin : 1;
    if (ahead + inside > excerpt.line.length)
        inside = excerpt.line.length > ahead ? excerpt.line.length - ahead : 0;
    excerpt.begin = text_columns((Slice){excerpt.line.at, ahead});
    excerpt.end = excerpt.begin + text_columns((Slice){excerpt.line.at + ahead, inside});
    if (excerpt.end == excerpt.begin) excerpt.end++;
    excerpt.from = excerpt.begin > EXCERPT_COLUMNS - EXCERPT_BEFORE ? excerpt.begin - EXCERPT_BEFORE : 0;
    excerpt.to = excerpt.from + EXCERPT_COLUMNS;
    return excerpt;
}

/* Writes the characters of the excerpt, tabs as blanks. Returns the column in which the first one stands:
 * where a wide one is cut, one further than was asked. */
static size_t write_line(Buffer *out, const Excerpt *excerpt)
{
    size_t column = 0, first = excerpt->from;
    bool begun = false;
    if (excerpt->from) buffer_text(out, "...");
    for (size_t i = 0; i < excerpt->line.length;) {
        size_t length = 1;
        while (i + length < excerpt->line.length &&
               ((unsigned char)excerpt->line.at[i + length] & 0xc0) == 0x80)
            length++;
        if (column >= excerpt->to) {
            buffer_text(out, "...");
            break;
        }
        Slice character = {excerpt->line.at + i, length};
        if (column >= excerpt->from) {
            if (!begun) first = column;
            begun = true;
            if (excerpt->line.at[i] == '\t')
                buffer_char(out, ' ');
            else
                buffer_escaped(out, character);
        }
        column += text_columns(character);
        i += length;
    }
    buffer_char(out, '\n');
    return first;
}

static void write_quoted(Buffer *out, const Report *report, Span span, Severity severity)
{
    if (!span.text) return;
    Excerpt excerpt = excerpt_of(span);
    size_t end = excerpt.end < excerpt.to ? excerpt.end : excerpt.to;
    buffer_text(out, "    ");
    size_t first = write_line(out, &excerpt);
    buffer_spaces(out, (excerpt.from ? 7U : 4U) + excerpt.begin - first);
    color(out, report, severity_color[severity]);
    for (size_t column = excerpt.begin; column < end; column++) buffer_char(out, '^');
    color(out, report, "\033[0m");
    buffer_char(out, '\n');
}

/* ------------------------------------------------------------------ one finding */

static void write_place(Buffer *out, Span span)
{
    Place place = place_of(span);
    buffer_escaped(out, slice_of(place.file));
    if (!place.line) return;
    buffer_print(out, ":%u:%u", place.line, place.column);
}

/* The line of a further place, without the blanks before it. */
static void write_other_line(Buffer *out, Span span)
{
    Excerpt excerpt = {.line = line_of(span), .to = EXCERPT_COLUMNS};
    while (excerpt.line.length && (*excerpt.line.at == ' ' || *excerpt.line.at == '\t'))
        excerpt.line = (Slice){excerpt.line.at + 1, excerpt.line.length - 1};
    write_line(out, &excerpt);
}

static bool of_a_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
}

/* A message that says a value need not be followed by it; "15 mm" does not say "5 mm", nor "0.5 mm". */
static bool says(const Note *note, const char *value)
{
    if (!value || !*value) return false;
    size_t length = strlen(value);
    for (const char *at = note->message; (at = strstr(at, value)); at++) {
        bool begins = at == note->message || (!of_a_word(at[-1]) && at[-1] != '.');
        bool ends = !of_a_word(at[length]) && !(at[length] == '.' && of_a_word(at[length + 1]));
        if (begins && ends) return true;
    }
    return false;
}

static void write_row(Buffer *out, const char *label, const char *text)
{
    if (!text || !*text) return;
    buffer_print(out, "    %s ", label);
    buffer_escaped(out, slice_of(text));
    buffer_char(out, '\n');
}

static void write_head(Buffer *out, const Report *report, const Note *note)
{
    if (note->place[0].span.text) {
        write_place(out, note->place[0].span);
        buffer_text(out, ": ");
    }
    color(out, report, severity_color[note->severity]);
    buffer_text(out, severity_name[note->severity]);
    color(out, report, "\033[0m");
    buffer_text(out, ": ");
    buffer_escaped(out, slice_of(note->message));
    buffer_print(out, " [%s]\n", note->name);
}

static void write_note(Buffer *out, const Report *report, const Note *note)
{
    write_head(out, report, note);
    bool brief = note->severity == SEVERITY_NOTE;
    if (!brief) write_quoted(out, report, note->place[0].span, note->severity);
    if (!says(note, note->found)) write_row(out, "found  ", note->found);
    if (!says(note, note->allowed)) write_row(out, "allowed", note->allowed);
    for (unsigned i = 1; i < note->places && !brief; i++) {
        if (!note->place[i].span.text) continue;
        buffer_print(out, "    %s: ", note->place[i].label);
        write_place(out, note->place[i].span);
        buffer_char(out, '\n');
        buffer_text(out, "        ");
        write_other_line(out, note->place[i].span);
    }
    write_row(out, "because", note->because);
    write_row(out, "instead", note->instead);
    if (!brief) write_row(out, "source ", note->cite);
    write_row(out, "also   ", note->also);
}

/* ------------------------------------------------------------------ the last line */

static void write_count(Buffer *out, const char **separator, uint64_t count, const char *one,
                        const char *many)
{
    buffer_text(out, *separator);
    char digits[32];
    size_t length = 0;
    for (uint64_t rest = count; length == 0 || rest; rest /= 10) digits[length++] = (char)('0' + rest % 10);
    while (length) {
        buffer_char(out, digits[--length]);
        if (length && length % 3 == 0) buffer_char(out, ',');
    }
    buffer_char(out, ' ');
    buffer_text(out, count == 1 ? one : many);
    *separator = ", ";
}

static void write_some(Buffer *out, const char **separator, uint64_t count, const char *word)
{
    if (count) write_count(out, separator, count, word, word);
}

static void write_summary(Buffer *out, const Report *report)
{
    const Summary *summary = report->summary;
    const char *separator = "";
    write_count(out, &separator, summary->files, "file", "files");
    write_count(out, &separator, summary->protocols, "protocol", "protocols");
    write_count(out, &separator, summary->batches, "batch", "batches");
    write_count(out, &separator, summary->rules, "rule", "rules");
    write_some(out, &separator, summary->no_subject, "without a subject");
    separator = "; ";
    write_count(out, &separator, summary_checks(summary), "check", "checks");
    separator = ": ";
    write_count(out, &separator, summary->held, "held", "held");
    write_count(out, &separator, summary->broken, "broken", "broken");
    write_some(out, &separator, summary->undecided, "undecided");
    write_some(out, &separator, summary->refused, "refused");
    separator = "; ";
    write_count(out, &separator, notes_count(report->notes, SEVERITY_ERROR), "error", "errors");
    write_count(out, &separator, notes_count(report->notes, SEVERITY_WARNING), "warning", "warnings");
    write_count(out, &separator, notes_count(report->notes, SEVERITY_NOTE), "note", "notes");
    separator = "; ";
    write_some(out, &separator, summary->accepted, "accepted");
    write_some(out, &separator, summary->judged_off, "switched off");
    write_some(out, &separator, summary->known, "in the baseline");
    buffer_char(out, '\n');
}

/* Rows of a table are texts of their own under the table's name. */
static bool in_one_file(const Note *a, const Note *b)
{
    const Text *left = a->place[0].span.text, *right = b->place[0].span.text;
    if (!left || !right) return left == right;
    return left->built_in == right->built_in && !strcmp(left->name, right->name);
}

void report_write_text(Buffer *out, const Report *report)
{
    size_t count;
    Note *const *notes = notes_sorted(report->notes, &count);
    size_t of_file = 0, not_shown = 0;
    for (size_t i = 0; i < count; i++) {
        of_file = i > 0 && in_one_file(notes[i], notes[i - 1]) ? of_file + 1 : 1;
        if (of_file > TEXT_NOTES) {
            not_shown++;
            continue;
        }
        write_note(out, report, notes[i]);
        buffer_char(out, '\n');
    }
    if (not_shown)
        buffer_print(out, "and %zu more; a file's first %d are shown, --format json lists all\n\n", not_shown,
                     TEXT_NOTES);
    if (notes_dropped(report->notes))
        buffer_print(out, "and %zu more that are counted and not shown\n\n", notes_dropped(report->notes));
    if (report->summary) write_summary(out, report);
}
