def equal_texts(a: str, b: str) -> bool:
    return a == b
