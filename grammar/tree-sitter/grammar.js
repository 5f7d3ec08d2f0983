/**
 * The rulebook language for editors that take tree-sitter grammars. It follows ../rulebook.pest rule by rule and has its
 * names; tests/tree_sitter holds the two against each other, over every book and over books with a token deleted.
 *
 * @file Rulebooks: what every measurement of a rebuilt machine may be
 * @license MIT
 */

/// <reference types="tree-sitter-cli/dsl" />
// @ts-check

// Never a name and never a unit, as `reserved` of ../rulebook.pest has it.
const RESERVED = [
  'above', 'add', 'adopt', 'advisory', 'all', 'also', 'and', 'at', 'basis', 'because', 'below', 'caution', 'choice',
  'class', 'constant', 'derive', 'edition', 'exactly', 'expansion', 'expect', 'extend', 'follows', 'formula', 'fitted',
  'fits', 'from', 'for', 'gauges', 'general', 'generation', 'house', 'is', 'judge', 'limit', 'loosen', 'measure',
  'narrow', 'never', 'not', 'no', 'of', 'optional', 'or', 'part', 'plausible', 'remedy', 'replace', 'retire', 'rework',
  'rounded', 'rulebook', 'shipped', 'source', 'standard', 'table', 'telltale', 'tighten', 'to', 'try', 'unit', 'use',
  'where', 'yes',
];

// Words of the language where `of` follows, and names elsewhere.
const COLLECTORS = ['smallest', 'largest', 'mean', 'spread', 'sum', 'count'];

const NUMBER = /[0-9]+(\.[0-9]+)?|\.[0-9]+/;
const WORD_LETTER = 'a-zA-Z';
const UNIT_LETTER = '\\p{L}°%';

/**
 * An expression for every word of such characters but the reserved ones: expressions of tokens cannot look ahead, so
 * the words are told apart character by character.
 * @param {string} letter what a word begins with
 */
function unreserved(letter) {
  const rest = `${letter}0-9_`;
  /** @param {string[]} words @param {string} allowed @param {boolean} begun */
  function after(words, allowed, begun) {
    const next = [...new Set(words.filter((word) => word !== '').map((word) => word[0]))].sort();
    const ways = next.map((sign) => {
      const left = words.filter((word) => word[0] === sign).map((word) => word.slice(1));
      return sign + after(left, rest, true);
    });
    ways.push(next.length > 0 ? `[[${allowed}]--[${next.join('')}]][${rest}]*` : `[${allowed}][${rest}]*`);
    const more = `(?:${ways.join('|')})`;
    return begun && !words.includes('') ? `${more}?` : more;
  }
  return after(RESERVED, letter, false);
}

const SEGMENT = unreserved(WORD_LETTER);
const FACTOR = `${unreserved(UNIT_LETTER)}(?:\\^-?[0-9])?`;
const UNIT = `${FACTOR}(?:-${unreservedLetters()})?(?:[*·/]${FACTOR})*`;

// What stands after the `-` of `ft-lb`.
function unreservedLetters() {
  return unreserved(UNIT_LETTER).replaceAll('0-9_', '');
}

/** @param {RuleOrLiteral} rule */
const list = (rule) => seq(rule, repeat(seq(',', rule)));

/** What may follow the ranges of a row. @param {GrammarSymbols<any>} $ */
const rowEnd = ($) => [
  optional($.rounded), optional('advisory'), optional($._never_excused), optional($.condition), optional($.texts),
];

module.exports = grammar({
  name: 'rulebook',

  word: ($) => $.identifier,

  reserved: {
    global: () => RESERVED,
    // The generation of a `try` is not named `finished`.
    of_a_try: () => [...RESERVED, 'finished'],
  },

  extras: ($) => [/[ \t\r\n]/, $.comment],

  conflicts: ($) => [
    // `by` goes on with `follows` or `less`, or is the name of the next row.
    [$.follower],
    [$._change_by],
    // After a comma stands one more word of a choice, or what else is demanded of a reading.
    [$.choice_type],
    // `x is a or b` names two words, `x is a or b is c` is two conditions: the word after `b` tells.
    [$.names],
    // `43 mm +0.02 mm -0.01 mm` is a tolerance unless a `to` follows.
    [$._value, $._plain_value],
  ],

  rules: {
    book: ($) => seq($.header, repeat($._declaration)),

    comment: () => token(/#[^\r\n]*/),

    _declaration: ($) =>
      choice(
        $.use_file, $.unit, $.set, $.constant, $.formula, $.source, $.general, $.extend, $.table,
        $.plausible_gauges, $.house, $.try, $.fits, $.part, $.generation,
      ),

    // ---- names, numbers, words between quotation marks

    identifier: () => /[a-zA-Z][a-zA-Z0-9_]*/,

    words: ($) =>
      seq(
        '"',
        repeat(choice(
          token.immediate(prec(1, /[^"\\\x00-\x08\x0a-\x1f\x7f\u0085\u2028\u2029]+/)),
          $.escape,
        )),
        token.immediate('"'),
      ),
    escape: () => token.immediate(/\\["\\]/),

    date: () => /[0-9]{4}-[0-9]{2}-[0-9]{2}/,
    whole: () => /[0-9]+/,
    number: () => token(NUMBER),

    // A number and its unit stand on one line, so the spaces between them belong to the unit.
    quantity: ($) => seq($.number, $._unit_of_number),
    _unit_of_number: ($) =>
      choice(
        alias(token.immediate(prec(1, new RustRegex(`[ \\t]*${UNIT}`))), $.unit_name),
        // Read whole, so that `N*to` is not taken for `N*t` with something after it.
        seq(token.immediate(prec(1, new RustRegex(`[ \\t]*${UNIT}[-*·/](?:${RESERVED.join('|')})`))), $._nothing),
      ),
    _unit: () => token(prec(1, new RustRegex(UNIT))),

    path: ($) => seq(alias(choice($.identifier, ...COLLECTORS), $.segment), repeat($._further)),
    _further: ($) =>
      seq(
        // Before a digit too it is the mark of a path, not of a number such as `.5`.
        token.immediate(prec(2, '.')),
        choice(
          alias(token.immediate(new RustRegex(SEGMENT)), $.segment),
          alias(token.immediate(/[0-9]+/), $.numbered),
          // Read whole, so that `limit` is not taken for `limi` with something after it.
          seq(token.immediate(new RustRegex(RESERVED.join('|'))), $._nothing),
        ),
      ),
    // No character is two characters at once, so no text has this.
    _nothing: () => token.immediate(new RustRegex('[a&&b]')),

    // ---- values and conditions

    expression: ($) => seq($.clause, repeat(seq(choice('and', 'or'), $.clause))),
    clause: ($) => seq(repeat('not'), $.sum, optional($.test)),
    test: ($) => choice(seq('is', optional('not'), choice($.bound, $._loose_range)), $.bound),
    sum: ($) => seq($.factor, repeat(seq($._operator, $.factor))),
    _operator: ($) => alias(choice('+', '-', '*', '/'), $.operator),
    factor: ($) => seq(repeat($._minus), choice($._primary, $._value, $.yes, $.no), optional($._power)),
    _power: ($) => seq('^', $.exponent),
    exponent: () => /[0-9]/,
    _minus: ($) => alias('-', $.minus),
    _value: ($) => choice($._measure, $.path),
    _measure: ($) => choice($.quantity, $.number),
    _primary: ($) => choice($.paren, $.collection, $.call, $.ratio),
    yes: () => 'yes',
    no: () => 'no',
    paren: ($) => seq('(', $.expression, ')'),
    ratio: ($) => seq($.number, ':', $.number),
    call: ($) => seq(alias(choice($.identifier, ...COLLECTORS), $.called), '(', optional(list($.expression)), ')'),
    collection: ($) => seq($._collector, choice(seq('(', list($.expression), ')'), $.path)),
    _collector: () => seq(choice(...COLLECTORS), 'of'),

    // ---- ranges

    _range: ($) => choice($.bound, $.not_names, $._loose_range),
    bound: ($) => seq(choice(seq('at', choice('least', 'most')), 'above', 'below', 'exactly'), $.sum),
    not_names: ($) => seq('not', $.names),
    _loose_range: ($) => choice($.yes, $.no, $.names, $.tolerance, $.fit, $.between),
    names: ($) => seq($._name_of_range, repeat(prec.dynamic(1, seq('or', $._name_of_range)))),
    _name_of_range: ($) => alias(choice($.identifier, ...COLLECTORS), $.name),
    between: ($) => seq(alias($._left_sum, $.sum), choice('to', $._plus_minus), $.sum),
    // What begins with yes or no is a word of its own, not a sum.
    _left_sum: ($) => seq(alias($._left_factor, $.factor), repeat(seq($._operator, $.factor))),
    _left_factor: ($) =>
      choice(
        seq(choice($._primary, $._value), optional($._power)),
        seq($._minus, repeat($._minus), choice($._primary, $._value, $.yes, $.no), optional($._power)),
      ),
    _plus_minus: ($) => alias(choice('±', '+/-'), $.plus_minus),
    tolerance: ($) => seq(optional($._minus), $._plain_value, $.deviation, $.deviation),
    _plain_value: ($) => choice($._measure, $.path),
    deviation: ($) => seq(choice('+', '-'), $._measure_at_once),
    _measure_at_once: ($) => choice(alias($._quantity_at_once, $.quantity), alias($._number_at_once, $.number)),
    _quantity_at_once: ($) => seq(alias($._number_at_once, $.number), $._unit_of_number),
    _number_at_once: () => token.immediate(prec(1, NUMBER)),
    fit: ($) => seq($.quantity, $.fit_class),
    fit_class: () => token(prec(1, /[a-zA-Z]{1,2}[0-9]{1,2}/)),

    // ---- declarations at the top of a book

    header: ($) => seq('rulebook', $.words, 'edition', $.date),
    use_file: ($) => seq('use', optional('shipped'), $.words),
    unit: ($) =>
      seq('unit', list(field('name', choice($._new_name, $.words))), '=', $.sum, optional(seq('zero', 'at', $.sum))),
    set: ($) => seq(choice('class', 'choice'), field('name', $._new_name), '=', list(field('member', $._new_name))),
    constant: ($) => seq('constant', field('name', $._new_name), ':', $._type_name),
    formula: ($) =>
      seq(
        'formula', field('name', $._new_name),
        // The words of a choice go on to the parenthesis, so one stands last.
        '(', optional(seq(repeat(seq(alias($._plain_parameter, $.parameter), ',')), $.parameter)), ')',
        ':', $._type_name, '=', $.expression,
      ),
    parameter: ($) => choice($._plain_parameter, seq(field('name', $._new_name), ':', $.choice_type)),
    _plain_parameter: ($) => seq(field('name', $._new_name), ':', $._plain_type_name),
    source: ($) => seq('source', field('name', $._new_name), $.words, optional($.source_grade)),
    source_grade: () => choice('maker', 'trade', 'forum', 'reference'),
    general: ($) => seq('general', 'caution', $.words),
    table: ($) =>
      seq(
        'table', field('name', $._new_name), '(', $.parameter, ')', ':', $._type_name, '=', list($.point),
        optional(seq(',', 'held')),
      ),
    point: ($) => seq($.signed, ':', $.signed),
    signed: ($) => seq(optional($._minus), $._measure),
    plausible_gauges: ($) => seq('plausible', 'gauges', $._type_name, ':', $._range, optional($.texts)),
    extend: ($) => seq('extend', $.path, 'at', $._positions),

    _new_name: ($) => alias($.identifier, $.new_name),
    _name: ($) => alias($.identifier, $.name),
    _type_name: ($) => choice($.choice_type, $._plain_type_name),
    _plain_type_name: ($) =>
      choice(
        $.yes_no_type,
        alias($._unit, $.unit_name),
        // Read whole, so that `yes/none` is not taken for `yes/no` with something after it.
        seq(token(/yes\/no[a-zA-Z0-9_]+/), $._nothing),
      ),
    choice_type: ($) => seq('choice', list(field('member', $._new_name))),
    yes_no_type: () => 'yes/no',
    _positions: ($) => list(choice($.run, $.whole, field('position', $._new_name))),
    run: ($) => seq($.whole, 'to', $.whole),

    // ---- inside a part

    part: ($) =>
      seq(
        'part', field('name', $._new_name), optional(seq('at', $._positions)),
        '{', repeat(choice($.derive, $.expansion, $.part, $.measure, $.reading)), '}',
      ),
    derive: ($) => seq('derive', field('name', $._new_name), ':', $._type_name, '=', $.expression, optional($.texts)),
    reading: ($) =>
      seq(
        field('name', $._new_name), optional(seq('at', list(field('station', $._new_name)))), ':',
        choice(
          seq($._plain_type_name, repeat(seq(',', $._demand))),
          // What else could follow a comma is one more word of the choice.
          seq($.choice_type, optional(seq(',', choice('optional', $.count), repeat(seq(',', $._demand))))),
        ),
        optional($.texts),
      ),
    _demand: ($) =>
      choice('optional', seq('may', 'be', 'negative'), seq('agree', 'within', $._measure), $.count),
    expansion: ($) => seq('expansion', $._measure, $._plus_minus, $._measure, optional($.texts)),
    count: ($) => choice(seq('exactly', $.whole, $._readings), seq($.whole, $._readings, 'or', 'more')),
    _readings: () => choice('readings', 'reading'),

    // ---- inside a generation

    generation: ($) =>
      seq(
        choice('generation', 'basis'), field('name', $._new_name), $.words, optional(seq('follows', $._name)),
        '{', repeat(choice($.given, $.fitted, $.telltale, $.plausible, $.rework, $.row)), '}',
      ),
    given: ($) => seq('constant', field('name', $._new_name), '=', $.expression, optional($.texts)),
    fitted: ($) => seq('fitted', $.path, 'at', $._positions),
    row: ($) =>
      seq(
        optional('replace'), optional($._row_word),
        choice(
          seq(alias($._row_path, $.path), choice($._limits, $._no_limits)),
          // `outer limit` never begins with the name `outer`.
          seq(alias($._outer_path, $.path), choice($._limits_but_limit, $._no_limits)),
        ),
      ),
    _row_path: ($) =>
      choice(
        seq(alias(choice($.identifier, 'each', 'by', ...COLLECTORS), $.segment), repeat($._further)),
        seq(alias('outer', $.segment), repeat1($._further)),
      ),
    _outer_path: ($) => alias('outer', $.segment),
    _row_word: () => seq(choice('each', ...COLLECTORS), 'of'),
    _limits: ($) => choice($._limits_but_limit, seq($.limit, ...rowEnd($))),
    _limits_but_limit: ($) => seq(choice($.all_same, $.outer, seq($.standard, optional($.limit))), ...rowEnd($)),
    _no_limits: ($) =>
      choice(
        seq('advisory', optional($._never_excused), optional($.condition), optional($.texts)),
        seq($.condition, optional($.texts)),
        $.texts,
      ),
    _never_excused: () => seq('never', 'excused'),
    _outer_limit: () => seq('outer', 'limit'),
    rounded: ($) => seq('rounded', 'to', $._measure),
    all_same: ($) => seq('all', 'the', 'same', 'across', $.path),
    standard: ($) => seq('standard', $._range, optional($.also)),
    limit: ($) => seq('limit', $._range, optional($.also)),
    outer: ($) => seq($._outer_limit, $._range, optional($.also)),
    also: ($) => seq('also', $._range),
    telltale: ($) => seq(optional('replace'), 'telltale', $.path, $._range, optional($.condition), optional($.texts)),
    plausible: ($) =>
      seq(optional('replace'), 'plausible', $.path, $._range, optional(seq('or', 'zero')), optional($.texts)),
    rework: ($) =>
      seq(
        optional('replace'), 'rework', field('name', $._new_name), ':', $.path,
        choice('replaced', seq(choice($._change_by, $.set_of_sizes), repeat(seq(',', $.follower)))),
        optional($.texts),
      ),
    _change_by: ($) => seq(choice('less', 'more'), optional(seq('by', 'at', 'most', $.sum))),
    set_of_sizes: ($) => seq('from', $.sum, 'to', $.sum, ',', 'step', $.sum),
    follower: ($) => seq($.path, 'follows', optional(seq('by', $.signed))),
    condition: ($) => seq('where', $.expression),

    // ---- inside a house, and inside its `for`

    house: ($) => seq('house', $.words, '{', repeat(choice($.judge, $.gauges, $.for_block, $.retire_for)), '}'),
    judge: ($) =>
      seq(
        'judge', 'by',
        choice(seq('simple', 'acceptance'), seq('guard', 'band', optional(seq($.number, optional('U'))))),
      ),
    gauges: ($) => seq('gauges', 'at', 'least', choice($.ratio, $.number)),
    for_block: ($) => seq($.scope, '{', repeat(choice($.change, $.drop, $.narrow)), '}'),
    retire_for: ($) =>
      seq('retire', optional($._row_word), alias($._named_path, $.path), optional($._outer_limit), $.scope, optional($.texts)),
    scope: ($) =>
      seq(
        'for', list($._name), optional(seq('from', $.date)), optional(seq('to', $.date)), optional($.condition),
      ),
    change: ($) =>
      seq(
        choice('tighten', 'loosen', 'add'), optional($._row_word), alias($._named_path, $.path),
        choice($._limits, $._no_limits),
      ),
    _named_path: ($) => seq(alias(choice($.identifier, 'each', ...COLLECTORS), $.segment), repeat($._further)),
    drop: ($) =>
      seq(
        choice('adopt', 'retire'), optional($._row_word), alias($._named_path, $.path), optional($._outer_limit),
        optional($.condition), optional($.texts),
      ),
    narrow: ($) => seq('narrow', $.path, $._range, optional($.texts)),

    // ---- inside a try

    try: ($) => seq('try', $.words, '{', repeat(choice($.try_generation, $.try_finished, $.expect, $.try_given)), '}'),
    try_generation: ($) => seq('generation', reserved('of_a_try', $._name)),
    try_finished: ($) => seq('finished', $.date),
    try_given: ($) => seq(alias($._try_path, $.path), '=', list($.try_value)),
    _try_path: ($) => seq(alias(choice($.identifier, 'finished'), $.segment), repeat($._further)),
    try_value: ($) => choice($.ratio, seq(optional($._minus), $._measure), $.yes, $.no, $._name),
    expect: ($) =>
      seq(
        'expect', optional($._row_word), alias($._named_path, $.path), optional($._outer_limit), 'is',
        optional('not'), $.names,
      ),

    // ---- inside fits

    fits: ($) => seq('fits', $.words, '{', repeat(choice($.sizes, $.grade, $.deviations)), '}'),
    sizes: ($) => seq('sizes', $.number, repeat(seq(',', $._measure))),
    grade: ($) => seq('grade', $.whole, '=', list($.signed)),
    deviations: ($) =>
      seq(
        choice('shaft', 'hole'), $.fit_letters, optional(seq('grade', $.whole, optional(seq('to', $.whole)))),
        '=', list($.signed),
      ),
    fit_letters: () => /[a-zA-Z]{1,2}/,

    // ---- inside the braces after a row, a reading, a derivation or a constant

    texts: ($) => seq('{', repeat(choice($.because, $.remedy, $.caution, $.measure, $.from)), '}'),
    because: ($) => seq('because', $.words),
    remedy: ($) => seq('remedy', $.words),
    caution: ($) => seq('caution', $.words),
    measure: ($) => seq('measure', $.words),
    from: ($) =>
      seq(
        optional(choice('standard', 'limit')), 'from',
        choice(seq('common', 'practice'), 'memory', alias(choice($.identifier, 'common'), $.name)),
        optional($.words),
      ),
  },
});
