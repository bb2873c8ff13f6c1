// Finds records by words: whole words, beginnings, and words with a typing error or two; accents never count.
// Knows nothing of pages, so that it can be tried by itself.
"use strict";
self.makeFinder = (data) => {
  const LETTERS = { "æ": "ae", "œ": "oe", "ø": "o", "ß": "ss", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i" };
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase()
    .replace(/[æœøßłđðþı]/g, (sign) => LETTERS[sign]);
  const split = (text) => fold(text).split(/[^\p{L}\p{N}]+/u).filter(Boolean);
  // A number with one bit for each letter: a word that holds three letters another lacks is three edits away at least.
  const maskOf = (word) => { let mask = 0; for (const sign of word) mask |= 1 << (sign.codePointAt(0) % 32); return mask; };
  const bits = (mask) => { let count = 0; for (; mask; mask &= mask - 1) count++; return count; };

  const WEIGHTS = [1, 1.2, 0.8, 0.8, 0.5, 0.6, 0.9];  // heading, reference, place, makers, stops, patterns, other names
  const strings = data.words.slice();
  const uses = strings.map(() => []);
  const note = (text, row, field) => { strings.push(text); uses.push([row * 8 + field]); };
  data.rows.forEach(([, reference, heading, ...lists], row) => {
    note(heading, row, 0);
    note(reference, row, 1);
    lists.forEach((list, at) => { for (const word of list) uses[word].push(row * 8 + at + 2); });
  });
  const index = new Map();
  strings.forEach((text, at) => {
    for (const word of new Set(split(text))) {
      if (!index.has(word)) index.set(word, []);
      index.get(word).push(at);
    }
  });
  const tokens = [...index.keys()];
  const masks = Int32Array.from(tokens, maskOf);

  // Edits (a letter put in, left out, changed, or two exchanged) from `typed` to `word`, and to its nearest beginning.
  const edits = (typed, word, most) => {
    const wide = Math.min(word.length, typed.length + most);
    let before = [], last = Array.from({ length: wide + 1 }, (_none, at) => at);
    for (let down = 1; down <= typed.length; down++) {
      const next = [down];
      let least = down;
      for (let at = 1; at <= wide; at++) {
        const same = typed[down - 1] === word[at - 1];
        let cost = Math.min(last[at] + 1, next[at - 1] + 1, last[at - 1] + (same ? 0 : 1));
        if (down > 1 && at > 1 && typed[down - 1] === word[at - 2] && typed[down - 2] === word[at - 1])
          cost = Math.min(cost, before[at - 2] + 1);
        next.push(cost);
        if (cost < least) least = cost;
      }
      if (least > most) return [99, 99];
      before = last;
      last = next;
    }
    return [wide === word.length ? last[wide] : 99, Math.min(...last)];
  };
  const allowed = (word) => /\p{N}/u.test(word) || word.length < 4 ? 0 : word.length < 8 ? 1 : 2;

  // Words of the collection like a typed one, with how good the likeness is (1 = the same).
  const alike = (typed, forgiving) => {
    const found = new Map();
    const most = forgiving ? allowed(typed) : 0;
    const mask = maskOf(typed);
    tokens.forEach((word, at) => {
      if (word === typed) found.set(word, 1);
      else if (word.startsWith(typed)) found.set(word, 0.85);
      else if (typed.length > 3 && word.includes(typed)) found.set(word, 0.6);
      else if (most && bits(mask & ~masks[at]) <= most) {
        const [whole, beginning] = edits(typed, word, most);
        if (whole <= most) found.set(word, 0.6 - 0.15 * whole);
        else if (beginning <= most) found.set(word, 0.4 - 0.1 * beginning);
      }
    });
    return found;
  };

  const pass = (words, forgiving) => {
    let kept = null;
    for (const typed of words) {
      const best = new Map();
      for (const [word, quality] of alike(typed, forgiving))
        for (const text of index.get(word))
          for (const use of uses[text]) {
            const score = quality * WEIGHTS[use % 8], row = (use - use % 8) / 8;
            if (kept && !kept.has(row)) continue;
            const known = best.get(row);
            if (!known || known.score < score) best.set(row, { score, field: use % 8, text, quality });
          }
      const next = new Map();
      for (const [row, one] of best) {
        const earlier = kept ? kept.get(row) : { score: 0, why: [] };
        next.set(row, { score: earlier.score + one.score, why: [...earlier.why, one] });
      }
      kept = next;
    }
    return kept || new Map();
  };

  // Records that hold every word, best first. Errors are forgiven only where few hold the words as typed.
  const find = (query) => {
    const words = split(query);
    if (!words.length) return [];
    let rows = pass(words, false);
    if (rows.size < 5) rows = new Map([...pass(words, true), ...rows]);
    return [...rows].map(([row, { score, why }]) => {
      const [kind, reference, heading, ...lists] = data.rows[row];
      const seen = new Set();
      return {
        kind, reference, heading, score,
        places: (lists[0] || []).map((word) => strings[word]),
        near: why.some((one) => one.quality < 0.6),
        why: why.filter((one) => one.field && !seen.has(one.text) && seen.add(one.text))
          .map((one) => ({ field: one.field, text: strings[one.text] })),
      };
    }).sort((a, b) => b.score - a.score || a.kind - b.kind || (a.heading < b.heading ? -1 : a.heading > b.heading ? 1 : a.reference < b.reference ? -1 : 1));
  };
  return { find, fold, edits, words: tokens.length };
};
