; Every token has one capture and one only, so that it does not matter which pattern an editor prefers.

(comment) @comment
(words) @string
(escape) @constant.character.escape

; ---- numbers and units

[
  (number)
  (whole)
  (exponent)
  (numbered)
] @constant.numeric

(date) @constant.numeric.date
(unit_name) @type.unit
(yes_no_type) @type.builtin

[
  (yes)
  (no)
] @constant.builtin.boolean

[
  (fit_class)
  (fit_letters)
] @constant.fit

; ---- names where they are declared

(part name: (new_name) @type.part)
(generation name: (new_name) @type.generation)
(set name: (new_name) @type.set)
(set member: (new_name) @constant.member)
(choice_type member: (new_name) @constant.member)
(unit name: (new_name) @type.unit)
(constant name: (new_name) @constant)
(given name: (new_name) @constant)
(formula name: (new_name) @function)
(table name: (new_name) @function)
(rework name: (new_name) @function)
(parameter name: (new_name) @variable.parameter)
(source name: (new_name) @label)
(reading name: (new_name) @variable.reading)
(derive name: (new_name) @variable.reading)
(_ position: (new_name) @label)
(_ station: (new_name) @label)

; ---- names where they are used

(generation (name) @type.generation)
(scope (name) @type.generation)
(try_generation (name) @type.generation)
(names (name) @constant.member)
(try_value (name) @constant.member)
(from (name) @label)
(called) @function
(segment) @variable

; ---- words of the language

[
  "rulebook" "edition" "use" "shipped" "unit" "zero" "class" "choice" "constant" "formula" "source" "extend" "part"
  "derive" "expansion" "generation" "basis" "general" "follows" "fitted" "house" "try" "table" "held" "fits" "sizes"
  "grade" "shaft" "hole" "for" "tighten" "loosen" "add" "adopt" "retire" "narrow" "judge" "simple" "acceptance" "guard"
  "band" "U" "gauges" "replace" "standard" "limit" "outer" "advisory" "never" "excused" "where" "also" "telltale"
  "plausible" "rework" "replaced" "less" "more" "by" "step" "rounded" "because" "remedy" "caution" "measure" "from"
  "common" "practice" "memory" "optional" "may" "be" "negative" "agree" "within" "readings" "reading" "finished"
  "expect"
] @keyword

(source_grade) @keyword

[
  "and" "or" "not" "is" "at" "to" "of" "least" "most" "above" "below" "exactly" "all" "the" "same" "across" "each"
  "smallest" "largest" "mean" "spread" "sum" "count"
] @keyword.operator

; ---- marks

[
  (operator)
  (minus)
  (plus_minus)
  "^"
  "="
] @operator

(deviation ["+" "-"] @operator)

[
  "{"
  "}"
  "("
  ")"
] @punctuation.bracket

[
  ","
  ":"
  "."
] @punctuation.delimiter
