"""Validates the committed OpenAPI document with openapi-spec-validator (PyPI) and holds it against what
the program prints, byte for byte.

Arguments: the committed document, the tamis program.
"""

import json
import subprocess
import sys

from openapi_spec_validator import OpenAPIV31SpecValidator


def main():
    path, tamis = sys.argv[1:]
    with open(path, "rb") as file:
        committed = file.read()
    document = json.loads(committed)
    errors = list(OpenAPIV31SpecValidator(document).iter_errors())
    failures = [f"{'/'.join(map(str, e.absolute_path))}: {e.message}" for e in errors]
    if not document["openapi"].startswith("3.1."):
        failures.append(f"version {document['openapi']}, 3.1 wanted")
    printed = subprocess.run([tamis, "openapi"], capture_output=True, check=True).stdout
    if printed != committed:
        failures.append(f"`tamis openapi` prints other bytes than {path} holds")
    operations = [
        f"{method.upper()} {route}"
        for route, item in document["paths"].items()
        for method in item
        if method in ("get", "post", "put", "delete", "patch")
    ]
    print(f"OpenAPI {document['openapi']}: {len(operations)} operations, {len(failures)} faults")
    for operation in ("POST /v1/assessments", "POST /v1/assessments:batch", "GET /v1/foods/{id}"):
        if operation not in operations:
            failures.append(f"no operation {operation}")
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
