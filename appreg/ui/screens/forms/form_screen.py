"""The base of every form: questions in one column, a sentence under the one that is refused."""

from collections.abc import Iterator
from typing import ClassVar, Final, Generic, TypeVar

from textual import on
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from appreg.core.values.text import shown
from appreg.errors import AppregError, InputRefused
from appreg.ui.screens.forms.choice_field import ChoiceField
from appreg.ui.screens.forms.form import Form, Offer
from appreg.ui.screens.forms.form_fields import NEW_KEY, FormField, TypedForm
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.shell.key_words import key_of
from appreg.ui.widgets.plain_input import PlainInput

Saved = TypeVar("Saved")
TAG_FIELD: Final = "tag"
"""The name of the field of a form that asks for a tag."""


class FormScreen(CommandModal[Saved], Generic[Saved]):
    """A form; returns what its task kept, or None when it is left.

    The form itself says what is asked and calls the task; a refusal keeps the screen open.
    """

    CSS_PATH = "form_screen.tcss"
    TITLE_IN_HELP = "a form"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="next_field",
            key="enter",
            label="next",
            help="Go to the next field; on the last one, save.",
        ),
        Command(action="save", key="ctrl+s", label="save", help="Check everything, keep it and close the form."),
        Command(
            action="create",
            key="insert",
            label="new one",
            help="In a field that chooses a client, person, instrument, location or category: add one, as its last answer does.",
        ),
        Command(
            action="leave",
            key="escape",
            label="leave",
            help="Close the form without saving; asks for the key once more where something was typed.",
        ),
    )

    def __init__(self, form: Form[Saved]) -> None:
        super().__init__()
        self._form = form
        self._fields: dict[str, FormField] = {}
        self._warned = False

    def compose_body(self) -> Iterator[Widget]:
        """The questions and a line for a refusal that belongs to none of them."""
        self._fields = {field.name: field for field in self._form.fields()}
        with VerticalScroll(can_focus=False):
            for field in self._fields.values():
                with Vertical(id=f"row-{field.name}", classes="row"):
                    with Horizontal(classes="question"):
                        yield Static(_label(field, self.shell.in_present_keys(NEW_KEY)), classes="label", markup=False)
                        yield _editor(field, self._form.help_of(field.name))
                    yield Static("", classes="refusal", markup=False)
            yield Static("", id="cautions", markup=False)
        yield Static("", id="refusal", markup=False)

    def load(self) -> None:
        """Name the form."""
        self.show_place(self._form.title)
        self._show_cautions()

    @property
    def typed(self) -> TypedForm:
        """What stands in the fields now."""
        return TypedForm(
            {name: self._value(name) for name in self._fields},
            {name: field.label for name, field in self._fields.items()},
            frozenset(name for name, field in self._fields.items() if field.required),
        )

    def field_help(self) -> tuple[str, FieldHelp] | None:
        """What F1 says of the field that is open."""
        name = (self.focused.id or "") if self.focused else ""
        return (self._fields[name].label, self._form.help_of(name)) if name in self._fields else None

    def action_next_field(self) -> None:
        """Go on; after the last field, save."""
        focused = self.focused
        if focused is not None and focused.id == list(self._fields)[-1]:
            self.action_save()
        else:
            self.focus_next()

    def action_save(self) -> None:
        """Keep what was typed, or say beside the field why not."""
        self._show_refusal("")
        field = self.focused
        if isinstance(field, ChoiceField) and field.holds_no_answer:
            self._show_refusal("Not saved: no answer holds what is typed here; esc shows all.", field.id or "")
            return
        self.shell.look_at_day()
        try:
            kept = self._form.keep(self.typed)
        except AppregError as refusal:
            self._show_refusal(str(refusal), refusal.field if isinstance(refusal, InputRefused) else "")
            return
        self.dismiss(kept)

    def action_leave(self) -> None:
        """Close; where something was typed, only at the second press."""
        if not self._changed() or self._warned:
            self.dismiss(None)
            return
        self._warned = True
        self._show_refusal(
            f"Not saved yet: esc once more throws away what you typed, {key_of('form.save', '^s')} keeps it."
        )

    def take_tag(self, tag: str) -> bool:
        """Put a scanned tag into the field that asks for one."""
        field = self.focused
        if not (isinstance(field, Input) and field.id == TAG_FIELD):
            return False
        field.value = tag
        return True

    def keep_typed(self) -> str:
        """A form has no place for what is half filled in; say what stood there."""
        said = ", ".join(f"{self._fields[name].label} “{self._value(name)}”" for name in self._changed())
        return f"{self._form.title}: not kept: {said}." if said else ""

    def _changed(self) -> list[str]:
        """The fields in which something was typed."""
        return [n for n, field in self._fields.items() if not field.choices and self._value(n) != field.value]

    def action_create(self) -> None:
        """Add a new record for the field that is open, and choose it."""
        name = (self.focused.id or "") if self.focused else ""
        form = self._form.new_for(name) if name in self._fields else None
        if form is None:
            self._show_refusal(f"{NEW_KEY} adds something new only in a field that says so.")
            return

        def take(made: object) -> None:
            if made is not None:
                self._offer(name, Offer(self._form.answers(name), str(getattr(made, "uid", ""))))

        self.app.push_screen(FormScreen(form), take)

    @on(Input.Submitted)
    def enter_in_input(self, event: Input.Submitted) -> None:
        """Enter in a typed field goes on."""
        event.stop()
        self.action_next_field()

    @on(ChoiceField.GoOn)
    def enter_in_choice(self) -> None:
        """Enter in a choice goes on."""
        self.action_next_field()

    @on(ChoiceField.Create)
    def enter_in_new(self) -> None:
        """Enter on the answer that is a new one adds it."""
        self.action_create()

    @on(ChoiceField.Changed)
    def another_answer(self, event: ChoiceField.Changed) -> None:
        """Let the form offer other answers elsewhere."""
        for name, offer in self._form.offers(self.typed, event.field.id or "").items():
            self._offer(name, offer)
        self._show_cautions()

    @on(Input.Changed)
    def something_typed(self) -> None:
        """What is typed after a warning is protected anew."""
        self._warned = False
        self._show_cautions()

    def _offer(self, name: str, offer: Offer) -> None:
        self.query_one(f"#{name}", ChoiceField).offer(offer.choices, offer.value)

    def _value(self, name: str) -> str:
        editor = self.query_one(f"#{name}")
        return editor.value if isinstance(editor, Input | ChoiceField) else ""

    def _show_cautions(self) -> None:
        lines = [Content.styled(f"! {shown(each)}", "$doubt") for each in self._form.cautions(self.typed)]
        self.query_one("#cautions", Static).update(Content("\n").join(lines))

    def _show_refusal(self, sentence: str, field: str = "") -> None:
        """Show a refusal under the field that it names, or in the form's own line."""
        for line in self.query(".refusal").results(Static):
            line.update("")
            line.display = False
        name = field if field in self._fields else ""
        line = self.query_one(f"#row-{name} .refusal" if name else "#refusal", Static)
        line.update(Content(f"! {shown(self.shell.in_present_keys(sentence))}" if sentence else ""))
        line.display = bool(sentence)
        if name:
            self.query_one(f"#{name}").focus()


def _label(field: FormField, new_key: str) -> Content:
    new = f"  {new_key} new" if field.creates else ""
    return Content.assemble(field.label, (new, "$mark"), ("  needed" if field.required else "", "$doubt"))


def _editor(field: FormField, said: FieldHelp) -> Widget:
    if field.choices is not None:
        return ChoiceField(field.choices, value=field.value, id=field.name, creates=field.creates)
    ghost = " · ".join(part for part in (said.as_example, field.hint) if part)
    return PlainInput(field.value, placeholder=ghost, id=field.name)
