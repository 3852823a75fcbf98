//! Finding a member among many while somebody types: by number, name or village.
//!
//! Words are kept in the order of their first letter, so that a keystroke looks at one letter's
//! words alone. A member is found when every word typed begins one of theirs; spelling is forgiven
//! as far as `fold` says.

mod fold;

use fold::words_of;

/// A text as people might spell it who do not agree: small letters without marks, doubled ones
/// once, one blank for everything between words and none at the ends.
///
/// # Examples
/// ```
/// # use combgate_core::intake::as_sought;
/// assert_eq!(as_sought(" Wanjirũ  Kĩhatò "), as_sought("wanjiru kihato"));
/// assert_eq!(as_sought("G1-26-00017"), "g1 26 00017");
/// ```
pub fn as_sought(text: &str) -> String {
    let mut words = String::new();
    words_of(text, &mut words);
    words.truncate(words.trim_end().len());
    words
}

/// First letters with words of their own: `a` to `z`, the digits, all others.
const LETTERS: usize = 37;

/// A member as somebody looks for them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sought<'a> {
    /// Number on the register.
    pub number: &'a str,
    /// Name.
    pub name: &'a str,
    /// Village, or nothing.
    pub village: &'a str,
}

/// What a search found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Found {
    /// Places of the best, the best first.
    pub best: Vec<usize>,
    /// How many were found in all.
    pub count: usize,
}

/// Where a word stands, and whose it is.
#[derive(Debug, Clone, Copy)]
struct WordAt {
    from: u32,
    member: u32,
    /// Which of the member's words it is, from 1.
    place: u16,
}

/// Members in an order in which they are found fast. Made once for a register, all at once or in
/// steps.
#[derive(Debug, Clone)]
pub struct MemberIndex {
    /// All words, each with a blank behind it, member by member.
    text: String,
    /// All words by their first letter, within a letter in the order of the members.
    words: Vec<WordAt>,
    /// Where the words of each letter begin in `words`, and where the last end.
    letters: Vec<usize>,
    /// Where the words of each member begin in `text`, and where the last end.
    members: Vec<u32>,
}

impl Default for MemberIndex {
    fn default() -> Self {
        Self {
            text: String::new(),
            words: Vec::new(),
            letters: Vec::new(),
            members: vec![0],
        }
    }
}

impl MemberIndex {
    /// Members in the order of their places.
    pub fn new<'a>(all: impl IntoIterator<Item = Sought<'a>>) -> Self {
        let mut index = Self::default();
        for sought in all {
            index.add(sought);
        }
        index.sorted()
    }

    /// Takes in the next member, who is found once the index is [`Self::sorted`] again.
    pub fn add(&mut self, sought: Sought<'_>) {
        let member = short(self.members.len() - 1);
        let mut from = self.text.len();
        self.take_number(sought.number);
        words_of(sought.name, &mut self.text);
        words_of(sought.village, &mut self.text);
        for (word, place) in self.text[from..].split_inclusive(' ').zip(1..) {
            self.words.push(WordAt {
                from: short(from),
                member,
                place,
            });
            from += word.len();
        }
        self.members.push(short(self.text.len()));
    }

    /// The index after the last [`Self::add`].
    #[must_use]
    pub fn sorted(mut self) -> Self {
        let unsorted = std::mem::take(&mut self.words);
        self.sort(&unsorted);
        self
    }

    /// A number can be asked for whole, by a part between two signs, by its last digits, and
    /// without the zeros before them.
    fn take_number(&mut self, number: &str) {
        let mut parts = String::new();
        words_of(number, &mut parts);
        let whole = parts.replace(' ', "");
        let last = &whole[whole.len() - digits_behind(&whole)..];
        let bare = last.trim_start_matches('0');
        let begin = self.text.len();
        let words = [whole.as_str(), last, bare];
        for word in words.into_iter().chain(parts.split_terminator(' ')) {
            if !word.is_empty() && !self.text[begin..].split(' ').any(|known| known == word) {
                self.text.push_str(word);
                self.text.push(' ');
            }
        }
    }

    /// Counts the words of each letter, then puts every word in its letter's row, in which words
    /// stay in the order they had.
    fn sort(&mut self, unsorted: &[WordAt]) {
        let mut letters = vec![0; LETTERS + 1];
        for word in unsorted {
            letters[self.letter(*word) + 1] += 1;
        }
        for letter in 0..LETTERS {
            letters[letter + 1] += letters[letter];
        }
        let mut next = letters.clone();
        self.words = unsorted.to_vec();
        for word in unsorted {
            let letter = self.letter(*word);
            self.words[next[letter]] = *word;
            next[letter] += 1;
        }
        self.letters = letters;
    }

    fn letter(&self, word: WordAt) -> usize {
        letter_of(&self.text[long(word.from)..])
    }

    /// The members in whom every word of `typed` begins a word, the likeliest first: a number or a
    /// word that is exactly what was typed, then what begins like it, names before villages. At most `most`
    /// of them; nothing typed finds all, in their own order.
    pub fn find(&self, typed: &str, most: usize) -> Found {
        let mut folded = String::new();
        words_of(typed, &mut folded);
        let wanted: Vec<&str> = folded.split_terminator(' ').collect();
        let Some(rarest) = wanted.iter().min_by_key(|word| self.likely(word)) else {
            let count = self.members.len().saturating_sub(1);
            let best = (0..count.min(most)).collect();
            return Found { best, count };
        };
        let whole = folded.replace(' ', "");
        let mut best: Vec<(u32, u32)> = Vec::with_capacity(most + 1);
        let mut count = 0;
        let row = self.row(rarest);
        for words in row.chunk_by(|one, next| one.member == next.member) {
            let alike = words.iter().filter_map(|word| self.alike(*word, rarest));
            let Some((alike, member)) = alike.min().zip(words.first().map(|word| word.member))
            else {
                continue;
            };
            let Some(rank) = self.rank(member, &wanted, (rarest, alike), &whole) else {
                continue;
            };
            count += 1;
            let rank = (rank, member);
            if best.len() < most || best.last().is_some_and(|last| rank < *last) {
                let place = best.partition_point(|other| *other < rank);
                best.insert(place, rank);
                best.truncate(most);
            }
        }
        let best = best.into_iter().map(|(_, member)| long(member)).collect();
        Found { best, count }
    }

    fn row(&self, word: &str) -> &[WordAt] {
        let letter = letter_of(word);
        let ends = self.letters.get(letter).zip(self.letters.get(letter + 1));
        ends.and_then(|(from, to)| self.words.get(*from..*to))
            .unwrap_or_default()
    }

    /// About how many words begin with this one, as if each letter after the first left a quarter of
    /// them: a guess that says where to begin and changes nothing that is found.
    fn likely(&self, word: &str) -> usize {
        // Nine letters leave one of 65,536; more are not told apart.
        let more = word.len().saturating_sub(1).min(8);
        self.row(word).len() >> (2 * more)
    }

    /// Everything from a word on. Words are compared as bytes: both begin and end at whole letters.
    fn bytes_at(&self, begin: u32) -> &[u8] {
        self.text.as_bytes().get(long(begin)..).unwrap_or_default()
    }

    fn words_of_member(&self, member: u32) -> &[u8] {
        let place = long(member);
        let end = long(self.members[place + 1]) - long(self.members[place]);
        self.bytes_at(self.members[place])
            .get(..end)
            .unwrap_or_default()
    }

    /// How like a word is to one that was typed, lower is likelier; `None` if it does not begin
    /// with it.
    fn alike(&self, word: WordAt, typed: &str) -> Option<u32> {
        let behind = self.bytes_at(word.from).strip_prefix(typed.as_bytes())?;
        Some(likeness(word.place, behind.first() == Some(&b' ')))
    }

    /// The same of a member's likeliest word.
    fn likeliest(&self, member: u32, typed: &str) -> Option<u32> {
        let words = self.words_of_member(member).split(|sign| *sign == b' ');
        words
            .zip(1..)
            .filter(|(word, _)| word.starts_with(typed.as_bytes()))
            .map(|(word, place)| likeness(place, word.len() == typed.len()))
            .min()
    }

    /// Lower is likelier: the number as typed, then per word whether it is a whole word and how
    /// early in the member's words it stands. `None` if one of them begins none of the words;
    /// `known` is a word whose likeness is known.
    fn rank(&self, member: u32, wanted: &[&str], known: (&str, u32), whole: &str) -> Option<u32> {
        let mut rank = 0;
        for typed in wanted {
            rank += if *typed == known.0 {
                known.1
            } else {
                self.likeliest(member, typed)?
            };
        }
        let behind = self.words_of_member(member).strip_prefix(whole.as_bytes());
        let is_number = behind.is_some_and(|behind| behind.first() == Some(&b' '));
        Some(if is_number { 0 } else { rank })
    }
}

fn likeness(place: u16, is_whole: bool) -> u32 {
    u32::from(place) + if is_whole { 0 } else { 100 }
}

fn letter_of(word: &str) -> usize {
    match word.bytes().next() {
        Some(letter @ b'a'..=b'z') => usize::from(letter - b'a'),
        Some(digit @ b'0'..=b'9') => 26 + usize::from(digit - b'0'),
        _ => LETTERS - 1,
    }
}

fn digits_behind(text: &str) -> usize {
    let digits = text.bytes().rev().take_while(u8::is_ascii_digit);
    digits.count()
}

/// A register of four thousand million letters would not fit in a brief.
fn short(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn long(count: u32) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests;
