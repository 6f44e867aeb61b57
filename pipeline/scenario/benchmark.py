"""Large caseloads for measuring speed: drawn column by column, not person by person."""


def write_benchmark() -> None: ...
