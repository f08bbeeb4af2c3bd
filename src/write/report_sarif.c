/* Findings as SARIF 2.1.0, for hosts that show them beside the line. One run; every part that hosts require
 * is there and not empty, for a host refuses the whole file over one; the most severe come first, because
 * hosts cut the tail. Which findings there are, and how severe they are, is left to others. */
#include "write/report.h"

#include "base/json.h"
#include "model/finding.h"
#include "model/vocabulary.h"
#include "write/place.h"

#include <stdio.h>
#include <string.h>

enum { SARIF_RESULTS = 5000, SEEN_ROOM = 16384 /* a power of two, over twice the results */ };

static const char *level_of(Severity severity)
{
    return severity == SEVERITY_ERROR ? "error" : severity == SEVERITY_WARNING ? "warning" : "note";
}

/* ------------------------------------------------------------------ sentences */

/* Adds a text as a sentence of its own: with a stop, unless it brings one, and nothing when it is empty. */
static const char *add_sentence(Arena *arena, const char *before, const char *lead, const char *text)
{
    if (!text || !*text) return before;
    bool stopped = strchr(".!?", text[strlen(text) - 1]) != NULL;
    return arena_print(arena, "%s%s%s%s%s", before, *before ? " " : "", lead, text, stopped ? "" : ".");
}

/* A range as "12 to 25 mm": a host that shows only the first sentence would end it behind "12 ..". */
static const char *without_dots(Arena *arena, const char *text)
{
    char *copy = arena_copy(arena, text, strlen(text));
    for (char *dots = copy; (dots = strstr(dots, " .. "));) memcpy(dots, " to ", 4);
    return copy;
}

/* ------------------------------------------------------------------ places */

/* Where a finding stands that has no place in a file: one that names a file which cannot be read. Hosts
 * refuse a result without a place. */
static const char no_file[] = "command-line";

/* A path as a reference: what is not plain is written in per cent. One that does not begin at the folder in
 * which the program runs needs the scheme, or a host would take it for one below its root. */
static void write_uri(Json *json, Arena *arena, const char *path, bool built_in)
{
    while (!strncmp(path, "./", 2)) path += 2;
    char *uri = arena_alloc(arena, strlen(path) * 3 + 32), *to = uri;
    if (built_in) to = stpcpy(to, "heelcut/");
    if (*path == '/') to = stpcpy(to, "file://");
    for (const unsigned char *from = (const unsigned char *)path; *from; from++) {
        bool plain = (*from >= 'a' && *from <= 'z') || (*from >= 'A' && *from <= 'Z') ||
                     (*from >= '0' && *from <= '9') || strchr("-._~/", *from);
        if (plain)
            *to++ = (char)*from;
        else
            to += snprintf(to, 4, "%%%02X", *from);
    }
    *to = '\0';
    json_text(json, *uri ? uri : no_file);
}

static void write_location(Json *json, Arena *arena, Span span, const char *label)
{
    Place place = place_of(span);
    json_object(json);
    if (label) {
        json_key(json, "message");
        json_object(json);
        json_field_text(json, "text", label);
        json_end_object(json);
    }
    json_key(json, "physicalLocation");
    json_object(json);
    json_key(json, "artifactLocation");
    json_object(json);
    json_key(json, "uri");
    write_uri(json, arena, !strcmp(place.file, "-") ? "standard-input" : place.file, place.built_in);
    json_end_object(json);
    json_key(json, "region");
    json_object(json);
    json_field_integer(json, "startLine", place.line ? place.line : 1);
    json_field_integer(json, "startColumn", place.column ? place.column : 1);
    json_field_integer(json, "endLine", place.line ? place.end_line : 1);
    json_field_integer(json, "endColumn", place.line ? place.end_column : 2);
    json_end_object(json);
    json_end_object(json);
    json_end_object(json);
}

/* ------------------------------------------------------------------ rules */

/* The findings' names, each once, with the first finding of it: as many as there are checks, however many
 * findings. */
typedef struct RuleList {
    const Note **first;
    size_t count;
} RuleList;

static size_t rule_index(const RuleList *rules, const char *name)
{
    size_t index = 0;
    while (index < rules->count && strcmp(rules->first[index]->name, name) != 0) index++;
    return index;
}

static RuleList rules_of(Arena *arena, Note *const *notes, size_t count)
{
    RuleList rules = {ARENA_ARRAY(arena, const Note *, count), 0};
    for (size_t i = 0; i < count; i++)
        if (rule_index(&rules, notes[i]->name) == rules.count) rules.first[rules.count++] = notes[i];
    return rules;
}

static void write_text_object(Json *json, const char *key, const char *text)
{
    json_key(json, key);
    json_object(json);
    json_field_text(json, "text", text);
    json_end_object(json);
}

/* What a check is about, for every finding of it alike. */
typedef struct RuleText {
    const char *brief, *full, *help;
} RuleText;

/* A finding of the program itself: its row of the table. */
static bool text_of_finding(Arena *arena, const char *name, RuleText *text)
{
    const FindingInfo *finding = finding_find(slice_of(name));
    if (!finding) return false;
    text->brief = text->full = add_sentence(arena, "", "", finding->title);
    return true;
}

/* A limit: what the vocabulary says of the fields so called. A clause's own reason is that of one protocol
 * and stands with its finding. */
static bool text_of_field(Arena *arena, const char *name, RuleText *text)
{
    const char *full = "";
    for (const Field *field = NULL; (field = field_find_from(slice_of(name), field));)
        if (role_judges(field->role) && !strstr(full, field->help))
            full = add_sentence(arena, full, "", field->help);
    if (!*full) return false;
    text->brief = arena_print(arena, "A batch keeps to what its protocol says of %s.", name);
    text->full = full;
    text->help = "Keep to the protocol, or accept the finding in the batch and say why.";
    return true;
}

/* A rule: what it says is the same in every finding of it. */
static void text_of_rule(Arena *arena, const Note *note, RuleText *text)
{
    text->brief = without_dots(arena, add_sentence(arena, "", "", note->message));
    text->full = add_sentence(arena, "", "", note->because);
    text->help = add_sentence(arena, "", "", note->instead);
}

static RuleText rule_text(Arena *arena, const Note *note)
{
    RuleText text = {"", "", ""};
    if (!text_of_finding(arena, note->name, &text) && !text_of_field(arena, note->name, &text))
        text_of_rule(arena, note, &text);
    if (!*text.brief) text.brief = arena_print(arena, "The check %s.", note->name);
    if (!*text.full) text.full = text.brief;
    if (!*text.help) text.help = "Findings are explained in docs/vocabulary.md of heelcut.";
    return text;
}

static void write_rule(Json *json, Arena *arena, const Note *note)
{
    RuleText text = rule_text(arena, note);
    json_object(json);
    json_field_text(json, "id", note->name);
    json_field_text(json, "name", note->name);
    write_text_object(json, "shortDescription", text.brief);
    write_text_object(json, "fullDescription", text.full);
    write_text_object(json, "help", text.help);
    json_key(json, "defaultConfiguration");
    json_object(json);
    json_field_text(json, "level", level_of(note->severity));
    json_end_object(json);
    json_end_object(json);
}

/* ------------------------------------------------------------------ results */

/* Stays the same when lines move and units are respelt: name, subject, field and exact value, by FNV-1a. */
static uint64_t fingerprint(const Note *note)
{
    const char *parts[] = {note->name, note->subject, note->field, note->value};
    uint64_t hash = UINT64_C(0xcbf29ce484222325);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        for (const char *c = parts[i]; *c; c++) hash = (hash ^ (unsigned char)*c) * UINT64_C(0x100000001b3);
        hash = (hash ^ 0x1f) * UINT64_C(0x100000001b3);
    }
    return hash;
}

/* How often a hash has come. */
typedef struct Seen {
    uint64_t hash;
    unsigned count; /* 0: free */
} Seen;

/* Hosts take two results of one fingerprint for one, and the second would be lost: so they are numbered, in
 * the order in which they are read. */
static unsigned occurrence(Seen *seen, uint64_t hash)
{
    size_t at = hash % SEEN_ROOM;
    while (seen[at].count && seen[at].hash != hash) at = (at + 1) % SEEN_ROOM;
    seen[at].hash = hash;
    return ++seen[at].count;
}

static const char *message_of(Arena *arena, const Note *note)
{
    const char *text = without_dots(arena, add_sentence(arena, "", "", note->message));
    text = add_sentence(arena, text, "Because ", note->because);
    text = add_sentence(arena, text, "Instead: ", note->instead);
    return add_sentence(arena, text, "Source: ", note->cite);
}

static void write_result(Json *json, Arena *arena, const Note *note, size_t rule, Seen *seen)
{
    uint64_t hash = fingerprint(note);
    json_object(json);
    json_field_text(json, "ruleId", note->name);
    json_field_integer(json, "ruleIndex", (int64_t)rule);
    json_field_text(json, "level", level_of(note->severity));
    write_text_object(json, "message", message_of(arena, note));
    json_key(json, "locations");
    json_array(json);
    write_location(json, arena, note->place[0].span, NULL);
    json_end_array(json);
    json_key(json, "relatedLocations");
    json_array(json);
    for (unsigned i = 1; i < note->places; i++)
        if (note->place[i].span.text) write_location(json, arena, note->place[i].span, note->place[i].label);
    json_end_array(json);
    json_key(json, "partialFingerprints");
    json_object(json);
    json_field_text(json, "primaryLocationLineHash",
                    arena_print(arena, "%016llx:%u", (unsigned long long)hash, occurrence(seen, hash)));
    json_end_object(json);
    json_end_object(json);
}

static void write_invocation(Json *json, const Report *report, size_t left_out)
{
    json_key(json, "invocations");
    json_array(json);
    json_object(json);
    json_key(json, "executionSuccessful");
    json_bool(json, report->status != 2);
    if (left_out) {
        json_key(json, "toolExecutionNotifications");
        json_array(json);
        json_object(json);
        json_field_text(json, "level", "warning");
        write_text_object(json, "message",
                          arena_print(notes_arena(report->notes),
                                      "%zu more findings are counted and not listed here.", left_out));
        json_end_object(json);
        json_end_array(json);
    }
    json_end_object(json);
    json_end_array(json);
}

static void write_driver(Json *json, Arena *arena, const RuleList *rules)
{
    json_key(json, "tool");
    json_object(json);
    json_key(json, "driver");
    json_object(json);
    json_field_text(json, "name", "heelcut");
    json_key(json, "rules");
    json_array(json);
    for (size_t i = 0; i < rules->count; i++) write_rule(json, arena, rules->first[i]);
    json_end_array(json);
    json_end_object(json);
    json_end_object(json);
}

void report_write_sarif(Buffer *out, const Report *report)
{
    Json json;
    size_t count, written = 0;
    Arena *arena = notes_arena(report->notes);
    Note *const *notes = notes_sorted(report->notes, &count);
    RuleList rules = rules_of(arena, notes, count);
    Seen *seen = ARENA_ARRAY(arena, Seen, SEEN_ROOM);
    json_start(&json, out, true);
    json_object(&json);
    json_field_text(&json, "$schema", "https://json.schemastore.org/sarif-2.1.0.json");
    json_field_text(&json, "version", "2.1.0");
    json_key(&json, "runs");
    json_array(&json);
    json_object(&json);
    write_driver(&json, arena, &rules);
    json_field_text(&json, "columnKind", "unicodeCodePoints");
    json_key(&json, "results");
    json_array(&json);
    for (int severity = SEVERITY_ERROR; severity > SEVERITY_OFF; severity--)
        for (size_t i = 0; i < count && written < SARIF_RESULTS; i++) {
            if ((int)notes[i]->severity != severity) continue;
            write_result(&json, arena, notes[i], rule_index(&rules, notes[i]->name), seen);
            written++;
        }
    json_end_array(&json);
    write_invocation(&json, report, notes_total(report->notes) - written);
    json_end_object(&json);
    json_end_array(&json);
    json_end_object(&json);
    buffer_char(out, '\n');
}
