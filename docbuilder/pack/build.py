"""From a computed plan to the files of its pack, in memory.

    plan -> words -> blocks -> pages -> files

The checklist comes last, because it lists the others with their page counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.content.calendar_words import calendar_words, week_words
from docbuilder.content.environment import TemplateEnvironment
from docbuilder.content.job import IssueInfo, PackFile, ReviewState
from docbuilder.document.blocks import Document
from docbuilder.errors import Issue, Place, Refused
from docbuilder.language.registry import find_language
from docbuilder.language.review import ReviewCount, review_state
from docbuilder.language.words import SOURCE_TAG, Words, load_words
from docbuilder.layout.compose import Composed, compose
from docbuilder.layout.lint import faults_that_hurt
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DocumentKind
from docbuilder.pack.calendar import CalendarTexts, write_calendar
from docbuilder.pack.garbage import without_collector
from docbuilder.pack.identity import document_id, file_name, pack_id
from docbuilder.pack.manifest import BuiltFile, manifest_bytes

__all__ = ["BuildOptions", "Pack", "identify", "make_pack", "pack_languages"]

_PATIENT_KINDS: tuple[DocumentKind, ...] = ("handout", "consent", "diary")


@dataclass(frozen=True, slots=True)
class BuildOptions:
    """What the caller chose for this build; empty means as the prescription says."""

    languages: tuple[str, ...] = ()
    """Languages of the patient's papers."""
    documents: tuple[DocumentKind, ...] = ()
    draft: bool = False
    """Print untranslated messages in English, marked on each page; never for consent."""
    one_language_consent: bool = False
    """Consent in the patient's language alone, not beside the clinic's."""
    fillable: bool = False
    """Fields to fill in on a screen, over the room to write in; the print is the same."""


@dataclass(frozen=True, slots=True)
class Pack:
    """A finished pack: its files in the order to print, side files last."""

    id: str
    plan: Plan
    files: tuple[BuiltFile, ...]


@dataclass(frozen=True, slots=True)
class _Order:
    """One document to be made: its kind, and one language or two side by side."""

    kind: DocumentKind
    languages: tuple[str, ...]


@dataclass
class _Maker:
    """Makes the documents of one pack, sharing what they have in common."""

    pack: str
    plan: Plan
    options: BuildOptions
    inputs: Mapping[str, str]
    templates: TemplateEnvironment
    issues: list[Issue] = field(default_factory=list)
    _signed: dict[str, bool] = field(default_factory=dict)

    def make(self, order: _Order, others: tuple[BuiltFile, ...] = ()) -> BuiltFile | None:
        """Return one document's file, or None when it was refused (the faults are kept)."""
        identity = document_id(self.pack, order.kind, order.languages)
        words = [self._words(tag) for tag in order.languages]
        try:
            documents = [self._assemble(order.kind, one, identity, others) for one in words]
            joined = replace(self._join(documents), fillable=self._fillable)
            composed = compose(joined)
            _refuse_hurting_pages(identity, composed)
        except Refused as refusal:
            self.issues += refusal.issues
            return None
        counts = [count for one in words if (count := one.review()) is not None]
        return BuiltFile(
            file_name(self.pack, order.kind, order.languages),
            composed.pdf,
            order.kind,
            order.languages,
            identity,
            composed.pages,
            _review_words(counts),
        )

    @property
    def _fillable(self) -> bool:
        return self.options.fillable or self.plan.clinic.fillable_forms

    def _words(self, tag: str) -> Words:
        clinic = self.plan.clinic
        return load_words(tag, clinic.territory, clinic.folder, clinic.digits.get(tag, "latin"))

    def _assemble(
        self, kind: DocumentKind, words: Words, identity: str, others: tuple[BuiltFile, ...]
    ) -> Document:
        """Write one document in one language."""
        info = IssueInfo(
            document_id=identity,
            version_date=self.plan.prescription.prescribed_on,
            awaiting_review=words.tag != SOURCE_TAG and not self._all_signed(words),
            draft=self.options.draft and kind != "consent",
            templates_digest=self.inputs["templates"][:10],
            catalogue_digest=self.inputs["locales"][:10],
            handout_id=self._handout_id,
            pack=tuple(_listed(file) for file in others),
        )
        document = assemble(kind, self.plan, words, issue=info, templates=self.templates)
        if not info.draft:
            words.refuse_missing(f"{kind} ({words.tag})")
        return document

    @property
    def _handout_id(self) -> str:
        """The handout that the consent form names; one from another pack has another id."""
        if "handout" not in self.kinds:
            return ""
        return document_id(self.pack, "handout", (self._patient_languages[0],))

    def _all_signed(self, words: Words) -> bool:
        """Say whether every message of the language is signed as it stands.

        The line on the page must not depend on which messages the page happens to use,
        so the whole catalogue is asked, once a language.
        """
        if words.tag not in self._signed:
            # Without a signature nothing is signed: no need to digest every message.
            self._signed[words.tag] = (
                bool(words.signatures)
                and review_state(words.entries, words.signatures, words.entries).complete
            )
        return self._signed[words.tag]

    def _join(self, documents: list[Document]) -> Document:
        if len(documents) == 1:
            return documents[0]
        first, second = documents
        names = [find_language(one.language).own_name for one in documents]
        return pair_documents(first, second, (names[0], names[1]))

    @property
    def _patient_languages(self) -> tuple[str, ...]:
        return _patient_languages(self.plan, self.options)

    def orders(self) -> Iterator[_Order]:
        """Yield the patient's papers, in the order to print them."""
        own = self.plan.clinic.language
        for kind in _PATIENT_KINDS:
            if kind not in self.kinds:
                continue
            for tag in self._patient_languages:
                beside = kind == "consent" and tag != own and not self.options.one_language_consent
                yield _Order(kind, (tag, own) if beside else (tag,))

    @property
    def kinds(self) -> tuple[DocumentKind, ...]:
        """The documents asked for."""
        return self.options.documents or self.plan.prescription.documents

    def calendar(self) -> BuiltFile:
        """Return the sessions as a calendar file in the patient's language."""
        words = self._words(self._patient_languages[0])
        rx, schedule = self.plan.prescription, self.plan.schedule
        texts = CalendarTexts(*calendar_words(words), week_words(schedule, words))
        if not self.options.draft:
            words.refuse_missing("calendar")
        data = write_calendar(
            schedule,
            texts,
            pack_id=self.pack,
            stamp=rx.prescribed_on,
            session_minutes=schedule.total_minutes // len(schedule.sessions),
            time_of_day=rx.schedule.time_of_day,
        )
        return BuiltFile(f"sessions_{self.pack}.ics", data, "calendar")


def pack_languages(plan: Plan, options: BuildOptions) -> tuple[str, ...]:
    """Return every language that the pack's papers use, the clinic's last."""
    return tuple(dict.fromkeys((*_patient_languages(plan, options), plan.clinic.language)))


def _patient_languages(plan: Plan, options: BuildOptions) -> tuple[str, ...]:
    rx = plan.prescription
    return tuple(dict.fromkeys(options.languages or (rx.patient.language, *rx.languages)))


def identify(options: BuildOptions, inputs: Mapping[str, str]) -> str:
    """Return the id of the pack that these options and inputs make.

    An option left as it is does not count: a new one leaves all other packs their ids.
    """
    chosen = {f"option {name}": value for name, value in asdict(options).items() if value}
    return pack_id(f"{name}={value}" for name, value in sorted({**inputs, **chosen}.items()))


@without_collector()
def make_pack(
    plan: Plan,
    options: BuildOptions,
    inputs: Mapping[str, str],
    layers: Mapping[str, str],
    templates: TemplateEnvironment,
) -> Pack:
    """Make every file of the pack of *plan*.

    Args:
        plan: The computed plan.
        options: What the caller chose.
        inputs: Digest or version of everything that shapes the pack, by name.
        layers: Which layer each resource came from, for the manifest.
        templates: Compiled templates, the clinic's first.

    Raises:
        InputFault: An unknown language was asked for.
        Refused: A missing translation, glyph or piece; holds the faults of all documents.
    """
    name = identify(options, inputs)
    maker = _Maker(name, plan, options, inputs, templates)
    papers = tuple(file for order in maker.orders() if (file := maker.make(order)))
    if "checklist" in maker.kinds and not maker.issues:
        checklist = maker.make(_Order("checklist", (plan.clinic.language,)), papers)
        papers = (*papers, checklist) if checklist else papers
    if maker.issues:
        raise Refused(dict.fromkeys(maker.issues))
    files = (*papers, maker.calendar())
    manifest = manifest_bytes(name, plan, files, inputs, layers)
    return Pack(name, plan, (*files, BuiltFile("pack.json", manifest, "manifest")))


def _refuse_hurting_pages(identity: str, composed: Composed) -> None:
    """Stop when words on a page would be lost, covered or too small to read.

    Raises:
        Refused: One issue a fault; no word of the document is repeated.
    """
    issues = [
        Issue(
            Place(identity),
            f"page {fault.page}",
            f"{fault.name}: {fault.detail}",
            "pages on which every word can be read",
            "shorten the text that you added, or use normal print; if you added none, report it",
        )
        for fault in faults_that_hurt(composed)
    ]
    if issues:
        raise Refused(issues)


def _listed(file: BuiltFile) -> PackFile:
    states: dict[str, ReviewState] = {"source": "original", "reviewed": "reviewed"}
    state = states.get(file.review, "awaiting review")
    return PackFile(file.kind, file.languages, file.pages, file.document_id, state)  # type: ignore[arg-type]


def _review_words(counts: list[ReviewCount]) -> str:
    """Say how far the words of one document have been reviewed, for the manifest."""
    if not counts:
        return "source"
    if all(count.complete for count in counts):
        return "reviewed"
    waiting = sum(count.unreviewed for count in counts)
    lapsed = sum(count.lapsed for count in counts)
    return f"draft: {waiting} of {sum(count.total for count in counts)} messages unreviewed" + (
        f", {lapsed} of them lapsed" if lapsed else ""
    )
