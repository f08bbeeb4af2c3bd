/* From tokens to the tree.
 *
 * The grammar knows blocks, clauses, phrases and conditions, and nothing of what they mean: which field may stand where, and
 * what its value must be, is the vocabulary's business. So it stays small, a broken clause never hides the next, and a new
 * field changes nothing here. Each action calls one constructor of src/syntax/tree.c. Lists are written left-recursively, so
 * that the stack grows only with blocks and brackets, whose depth the filter bounds.
 */
%require "3.8"
%expect 0
%define api.pure full
%define api.prefix {syntax_}
%define api.token.prefix {TOK_}
%define api.token.raw
%define api.value.type union
%define api.location.type {Extent}
%locations
%define parse.error custom
%define parse.lac full
%define parse.lac.es-capacity-initial {256}
%param {Reader *reader}

%code requires {
#include "syntax/make.h"
}

%code {
/* The parser's stack has a fixed size: 64 blocks in each other put 3 symbols each on it, and 64 brackets in a condition 15
 * (a test holds it to that). Nothing is ever asked for, and what would be is refused. */
#define YYINITDEPTH 1200
#define YYMAXDEPTH 1200
#define YYMALLOC(size) ((void)(size), NULL)
#define YYFREE(memory) ((void)(memory))

#define YYLLOC_DEFAULT(whole, parts, count)                                                                  \
    do {                                                                                                     \
        (whole).begin = (count) ? YYRHSLOC(parts, 1).begin : YYRHSLOC(parts, 0).end;                         \
        (whole).end = (count) ? YYRHSLOC(parts, count).end : YYRHSLOC(parts, 0).end;                         \
    } while (0)

/* A constructor that refused has said why: the clause is broken, or the whole text has too much in it. */
#define MADE(node)                                                                                           \
    do {                                                                                                     \
        if (!(node)) {                                                                                       \
            if (reader->full) YYABORT;                                                                       \
            YYERROR;                                                                                         \
        }                                                                                                    \
    } while (0)

static int syntax_lex(SYNTAX_STYPE *value, Extent *place, Reader *reader);
static void syntax_error(Extent *place, Reader *reader, const char *message);

static const Token nothing = {.kind = TOKEN_END};
}

%token FILE_END 0
%token START_FILE START_VALUE END
%token <Token> WORD NUMBER UNIT TEXT DATE DAY MONTH TIME CITED_PLACE
%token SHARE_IN AT_MOST AT_LEAST RANGE AROUND
%token OPEN_BRACE CLOSE_BRACE OPEN_ROUND CLOSE_ROUND OPEN_SQUARE CLOSE_SQUARE
%token COMMA COLON PLUS TIMES STROKE DOT LESS MORE LESS_EQUAL MORE_EQUAL EQUAL UNEQUAL
%token <Token> MINUS
%token <Token> MUST PREFER NEVER WHEN WHERE BECAUSE INSTEAD
%token <Token> AND OR NOT IN OUTSIDE IS INCLUDES LACKS STATED UNSTATED HAS NO MIXED ON PER STAGE TASK RECORD
%token <Token> BEFORE AFTER OF START FINISH LOW HIGH MIDDLE EARLIEST PLANNED LATEST

%nterm <ItemList> items
%nterm <Item *> item head clause block broken_block broken_head
%nterm <Token> strength field when word soft point_word name_word plain_word
%nterm <CitationList> citations
%nterm <Citation *> citation
%nterm <MixList> value
%nterm <Part *> part range atom single
%nterm <Expr *> condition conjunction negation atomic sum term primary simple measure where_part
%nterm <ExprKind> compare
%nterm <Prefixes> nots points
%nterm <WordList> name words
%nterm <ExprWord *> role
%nterm <Thing> thing other_thing
%nterm <Relation> relation
%nterm <ThingKind> kind
%nterm <ThingEdge> edge
%nterm <bool> in_or_outside is includes has
%nterm <Token> per_part

%%

input:
  START_FILE items                   { reader->items = $items.first; }
| START_VALUE value END              { reader->value = make_value($value); }
| START_VALUE
;

/* ------------------------------------------------------------------ clauses and blocks */

items:
  %empty                             { $$ = (ItemList){0}; }
| items item                         { $$ = $1; make_items(&$$, $item); }
;

item:
  clause END                         { $$ = make_clause(reader, $clause, @clause); }
| block END
| broken_block END
| error END                          { yyerrok; MADE($$ = make_broken(reader, @1)); }
;

clause:
  head
| when condition                     { MADE($$ = make_condition(reader, $when, $condition, @$)); }
| DATE value                         { MADE($$ = make_dated(reader, $DATE, $value, @$)); }
| clause BECAUSE TEXT                { MADE(make_reason(reader, &$1->because, &$1->because_span, $BECAUSE, $TEXT)); }
| clause INSTEAD TEXT                { MADE(make_reason(reader, &$1->instead, &$1->instead_span, $INSTEAD, $TEXT)); }
| clause OPEN_SQUARE citations CLOSE_SQUARE { make_cited($1, $citations); }
;

block:
  head OPEN_BRACE items CLOSE_BRACE  { $$ = make_block(reader, $head, $items, @$); }
;

broken_block:
  broken_head items CLOSE_BRACE      { $$ = make_broken_block(reader, $broken_head, $items, @$); }
;

broken_head:
  error OPEN_BRACE                   { yyerrok; MADE($$ = make_broken(reader, @1)); }
;

head:
  field                              { MADE($$ = make_head(reader, nothing, $field, (MixList){0}, @$)); }
| strength field                     { MADE($$ = make_head(reader, $strength, $field, (MixList){0}, @$)); }
| field value                        { MADE($$ = make_head(reader, nothing, $field, $value, @$)); }
| strength field value               { MADE($$ = make_head(reader, $strength, $field, $value, @$)); }
;

strength: MUST | PREFER | NEVER ;
when: WHEN | WHERE ;
field: WORD | soft | MONTH ;

citations:
  citation                           { $$ = (CitationList){$1, $1}; }
| citations COMMA citation           { $$ = $1; make_citations(&$$, (CitationList){$3, $3}); }
;

citation:
  WORD                               { $$ = make_citation(reader, $WORD, &nothing, @$); }
| WORD CITED_PLACE                   { $$ = make_citation(reader, $WORD, &$CITED_PLACE, @$); }
;

/* ------------------------------------------------------------------ phrases */

/* Mixes between commas, in them phrases between colons, in those parts: nearly always one of each, so one rule reads all. */
value:
  part                               { $$ = (MixList){0}; MADE(make_mixes(reader, &$$, $part)); }
| value part                         { $$ = $1; MADE(make_parts(&$$, $part)); }
| value COLON part                   { $$ = $1; MADE(make_phrases(reader, &$$, $part)); }
| value COMMA part                   { $$ = $1; MADE(make_mixes(reader, &$$, $part)); }
;

part:
  range
| atom
| OPEN_ROUND range CLOSE_ROUND       { $$ = make_part_pair(reader, PART_BRACKET, $range, NULL, @$); }
| OPEN_ROUND atom CLOSE_ROUND        { $$ = make_part_pair(reader, PART_BRACKET, $atom, NULL, @$); }
;

range:
  atom RANGE atom                    { $$ = make_part_pair(reader, PART_RANGE, $1, $3, @$); }
| atom AROUND atom                   { $$ = make_part_pair(reader, PART_AROUND, $1, $3, @$); }
| AT_MOST atom                       { $$ = make_part_pair(reader, PART_AT_MOST, $2, NULL, @$); }
| AT_LEAST atom                      { $$ = make_part_pair(reader, PART_AT_LEAST, $2, NULL, @$); }
;

atom:
  single
| single PLUS single                 { $$ = make_part_pair(reader, PART_SUM, $1, $3, @$); }
| NUMBER SHARE_IN NUMBER             { $$ = make_part_pair(reader, PART_SHARE,
                                             make_part_quantity(reader, make_quantity(reader, NULL, $1, NULL), @1),
                                             make_part_quantity(reader, make_quantity(reader, NULL, $3, NULL), @3), @$); }
| LESS single                        { $$ = make_part_pair(reader, PART_LESS, $2, NULL, @$); }
| MORE single                        { $$ = make_part_pair(reader, PART_MORE, $2, NULL, @$); }
| DATE                               { $$ = make_part_token(reader, $1); }
| DAY                                { $$ = make_part_token(reader, $1); }
| MONTH                              { $$ = make_part_token(reader, $1); }
| TIME                               { $$ = make_part_token(reader, $1); }
| TEXT                               { $$ = make_part_token(reader, $1); }
| WORD                               { $$ = make_part_token(reader, $1); }
| soft                               { $$ = make_part_token(reader, $1); }
;

single:
  NUMBER                             { $$ = make_part_quantity(reader, make_quantity(reader, NULL, $NUMBER, NULL), @$); }
| NUMBER UNIT                        { $$ = make_part_quantity(reader, make_quantity(reader, NULL, $NUMBER, &$UNIT), @$); }
| MINUS NUMBER                       { $$ = make_part_quantity(reader, make_quantity(reader, &$MINUS, $NUMBER, NULL), @$); }
| MINUS NUMBER UNIT                  { $$ = make_part_quantity(reader, make_quantity(reader, &$MINUS, $NUMBER, &$UNIT), @$); }
;

/* ------------------------------------------------------------------ conditions */

condition:
  conjunction
| condition OR conjunction           { MADE($$ = make_expr(reader, EXPR_OR, $1, $3, @$)); }
;

conjunction:
  negation
| conjunction AND negation           { MADE($$ = make_expr(reader, EXPR_AND, $1, $3, @$)); }
;

negation:
  atomic
| nots atomic                        { MADE($$ = make_expr_prefixed(reader, $nots, $atomic, @$)); }
;

nots:
  NOT                                { $$ = (Prefixes){0}; MADE(make_prefixes(reader, &$$, $NOT)); }
| nots NOT                           { $$ = $1; MADE(make_prefixes(reader, &$$, $NOT)); }
;

atomic:
  sum
| sum compare sum                    { MADE($$ = make_expr(reader, $compare, $1, $3, @$)); }
| sum in_or_outside sum              { MADE($$ = make_expr_in(reader, $2, $1, $3, NULL, @$)); }
| sum in_or_outside sum RANGE sum    { MADE($$ = make_expr_in(reader, $2, $1, $3, $5, @$)); }
| name is plain_word                 { MADE($$ = make_expr_is(reader, $name.first, $is, IS_WORDS,
                                                              make_word(reader, $plain_word), @$)); }
| name is OPEN_ROUND words CLOSE_ROUND { MADE($$ = make_expr_is(reader, $name.first, $is, IS_WORDS, $words.first, @$)); }
| name is STATED                     { MADE($$ = make_expr_is(reader, $name.first, $is, IS_STATED, NULL, @$)); }
| name is UNSTATED                   { MADE($$ = make_expr_is(reader, $name.first, $is, IS_UNSTATED, NULL, @$)); }
| name includes word                 { MADE($$ = make_expr_words(reader, EXPR_INCLUDES, $includes, $name.first,
                                                                 make_word(reader, $word), @$)); }
| MIXED name                         { MADE($$ = make_expr_words(reader, EXPR_MIXED, false, $name.first, NULL, @$)); }
| MIXED name ON name                 { MADE($$ = make_expr_words(reader, EXPR_MIXED, false, $2.first, $4.first, @$)); }
| has thing relation where_part      { MADE($$ = make_expr_has(reader, $has, $thing, $relation, $where_part, @$)); }
;

compare:
  LESS                               { $$ = EXPR_LESS; }
| LESS_EQUAL                         { $$ = EXPR_LESS_EQUAL; }
| MORE                               { $$ = EXPR_MORE; }
| MORE_EQUAL                         { $$ = EXPR_MORE_EQUAL; }
| EQUAL                              { $$ = EXPR_EQUAL; }
| UNEQUAL                            { $$ = EXPR_UNEQUAL; }
;

in_or_outside: IN                    { $$ = false; }
| OUTSIDE                            { $$ = true; }
;

is: IS                               { $$ = false; }
| IS NOT                             { $$ = true; }
;

includes: INCLUDES                   { $$ = false; }
| LACKS                              { $$ = true; }
;

has: HAS                             { $$ = false; }
| NO                                 { $$ = true; }
;

words:
  plain_word                         { $$ = (WordList){0}; make_words(&$$, make_word(reader, $1)); }
| words COMMA plain_word             { $$ = $1; make_words(&$$, make_word(reader, $3)); }
;

thing:
  kind                               { $$ = (Thing){$kind, NULL, @$}; }
| kind role                          { $$ = (Thing){$kind, $role, @$}; }
;

other_thing: kind role               { $$ = (Thing){$kind, $role, @$}; } ;

kind:
  STAGE                              { $$ = THING_STAGE; }
| TASK                               { $$ = THING_TASK; }
| RECORD                             { $$ = THING_RECORD; }
;

role:
  name_word                          { $$ = make_word(reader, $1); }
| point_word                         { $$ = make_word(reader, $1); }
;

relation:
  %empty                             { $$ = (Relation){0}; }
| IN edge other_thing                { $$ = (Relation){RELATION_IN, $edge, $other_thing}; }
| BEFORE edge other_thing            { $$ = (Relation){RELATION_BEFORE, $edge, $other_thing}; }
| AFTER edge other_thing             { $$ = (Relation){RELATION_AFTER, $edge, $other_thing}; }
;

edge:
  %empty                             { $$ = EDGE_NONE; }
| START OF                           { $$ = EDGE_START; }
| FINISH OF                          { $$ = EDGE_END; }
;

where_part:
  %empty                             { $$ = NULL; }
| WHERE OPEN_ROUND condition CLOSE_ROUND { $$ = $condition; }
;

sum:
  term
| sum PLUS term                      { MADE($$ = make_expr(reader, EXPR_ADD, $1, $3, @$)); }
| sum MINUS term                     { MADE($$ = make_expr(reader, EXPR_SUBTRACT, $1, $3, @$)); }
;

term:
  primary
| term TIMES primary                 { MADE($$ = make_expr(reader, EXPR_MULTIPLY, $1, $3, @$)); }
| term STROKE primary                { MADE($$ = make_expr(reader, EXPR_DIVIDE, $1, $3, @$)); }
;

primary:
  simple
| points simple                      { MADE($$ = make_expr_prefixed(reader, $points, $simple, @$)); }
| MINUS measure                      { MADE($$ = make_expr(reader, EXPR_NEGATE, $measure, NULL, @$)); }
| MINUS NUMBER per_part              { MADE($$ = make_expr_quantity(reader, make_quantity(reader, &$MINUS, $NUMBER, NULL), &$per_part, @$)); }
| MINUS NUMBER UNIT per_part         { MADE($$ = make_expr_quantity(reader, make_quantity(reader, &$MINUS, $NUMBER, &$UNIT), &$per_part, @$)); }
;

points:
  point_word                         { $$ = (Prefixes){0}; MADE(make_prefixes(reader, &$$, $1)); }
| points point_word                  { $$ = $1; MADE(make_prefixes(reader, &$$, $2)); }
;

simple:
  NUMBER per_part                    { MADE($$ = make_expr_quantity(reader, make_quantity(reader, NULL, $NUMBER, NULL), &$per_part, @$)); }
| NUMBER UNIT per_part               { MADE($$ = make_expr_quantity(reader, make_quantity(reader, NULL, $NUMBER, &$UNIT), &$per_part, @$)); }
| DATE                               { MADE($$ = make_expr_token(reader, $1)); }
| DAY                                { MADE($$ = make_expr_token(reader, $1)); }
| MONTH                              { MADE($$ = make_expr_token(reader, $1)); }
| TEXT                               { MADE($$ = make_expr_token(reader, $1)); }
| measure
;

per_part:
  %empty                             { $$ = nothing; }
| PER word                           { $$ = $word; }
;

measure:
  name                               { MADE($$ = make_expr_name(reader, $name.first, @$)); }
| START OF other_thing               { MADE($$ = make_expr_moment(reader, EDGE_START, $other_thing, @$)); }
| FINISH OF other_thing              { MADE($$ = make_expr_moment(reader, EDGE_END, $other_thing, @$)); }
| OPEN_ROUND condition CLOSE_ROUND   { $$ = $condition; }
;

name:
  name_word                          { $$ = (WordList){0}; make_words(&$$, make_word(reader, $1)); }
| point_word                         { $$ = (WordList){0}; make_words(&$$, make_word(reader, $1)); }
| name DOT word                      { $$ = $1; make_words(&$$, make_word(reader, $word)); }
;

/* ------------------------------------------------------------------ words
 *
 * The words with a part in conditions are ordinary words in phrases, and may name fields, stages and tasks. */

word: WORD | soft ;
soft: AND | OR | NOT | STATED | UNSTATED | IN | OUTSIDE | IS | INCLUDES | LACKS | HAS | NO | MIXED | ON | PER
| STAGE | TASK | RECORD | BEFORE | AFTER | OF | START | FINISH | point_word
;
/* behind `is` */
plain_word: WORD | MUST | PREFER | NEVER | IN | OUTSIDE | IS | INCLUDES | LACKS | HAS | NO | MIXED | ON | PER | STAGE | TASK
| RECORD | BEFORE | AFTER | OF | START | FINISH | AND | OR | point_word
;
/* as a name inside a condition */
name_word: WORD | STATED | UNSTATED | ON | PER | STAGE | TASK | RECORD | OF | START | FINISH ;
point_word: LOW | HIGH | MIDDLE | EARLIEST | PLANNED | LATEST ;

%%

/* The parser's numbers of our tokens. */
static const int token_number[TOKENS] = {
#define SCANNED(name, group, shown)
#define TOKEN(name, group, shown) [TOKEN_##name] = TOK_##name,
#include "tokens.def"
    [TOKEN_FAULT] = TOK_SYNTAX_error,
};

static int syntax_lex(SYNTAX_STYPE *value, Extent *place, Reader *reader)
{
    Token token = reader_token(reader);
    value->TOK_WORD = token; /* all tokens with a meaning share this member's type and place */
    *place = token.extent;
    return token_number[token.kind];
}

/* api.token.raw: the parser's number of a token is that of its symbol. */
static int yyreport_syntax_error(const yypcontext_t *context, Reader *reader)
{
    bool expected[TOKENS] = {false};
    yysymbol_kind_t symbol[YYNTOKENS];
    /* what would have fitted is costly to find, and of use only in a message that somebody will see */
    int count = reader_silent(reader) ? 0 : yypcontext_expected_tokens(context, symbol, YYNTOKENS);
    for (int i = 0; i < count; i++)
        for (int kind = 0; kind < TOKENS; kind++)
            if (token_number[kind] == (int)symbol[i] && kind != TOKEN_FAULT) expected[kind] = true;
    reader_unexpected(reader, expected);
    return count < 0 ? count : 0;
}

/* bison calls this only when its stack is full, which the limits on depth make impossible. */
static void syntax_error(Extent *place, Reader *reader, const char *message)
{
    reader_note(reader, *place, message);
}

bool reader_parse(Reader *reader)
{
    return syntax_parse(reader) == 0;
}
