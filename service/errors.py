"""The error tree: every error a person meets carries one sentence that says what to do."""


class ServiceError(Exception):
    """An error whose `sentence` may be shown to a person as it stands."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class SettingsError(ServiceError):
    """The settings cannot be used; the sentence lists every fault found."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class RefusedError(ServiceError):
    """A request breaks a rule; `code` names the rule in one lower-case word."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
