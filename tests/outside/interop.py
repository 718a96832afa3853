"""Calls the gRPC door from Python and the REST door from Python's own HTTP client: the same request
must give the same answer to both, field by field.

The stubs are made by grpcio-tools (protoc) from proto/ as any foreign client would, so nothing of the
Rust build is involved. Arguments: the folder proto/, a folder for the stubs, the addresses of the
REST and gRPC doors, and request files in JSON.
"""

import importlib
import json
import re
import sys
import urllib.error
import urllib.request

import grpc
from google.protobuf import json_format
from grpc_tools import protoc

FILES = ["assessments", "foods", "readings", "tickets"]


def stubs(proto, out):
    files = [f"tamis/v1/{name}.proto" for name in FILES]
    code = protoc.main(["protoc", f"-I{proto}", f"--python_out={out}", f"--grpc_python_out={out}", *files])
    if code != 0:
        sys.exit(f"protoc ended with {code}")
    sys.path.insert(0, out)
    return (
        importlib.import_module("tamis.v1.assessments_pb2"),
        importlib.import_module("tamis.v1.assessments_pb2_grpc"),
    )


def words_to_names(descriptor, value):
    """Our JSON with enum words as protobuf's own JSON reader names them, and without nulls."""
    fields = {field.name: field for field in descriptor.fields}
    out = {}
    for name, item in value.items():
        if name not in fields:
            sys.exit(f"{descriptor.name} has no field {name}")
        field = fields[name]

        def one(x, field=field):
            if field.enum_type is not None:
                return prefix(field.enum_type) + x.upper().replace("-", "_")
            if field.message_type is not None:
                return words_to_names(field.message_type, x)
            return x

        if item is not None:
            out[name] = [one(x) for x in item] if isinstance(item, list) else one(item)
    return out


def prefix(enum):
    return re.sub(r"(?<!^)(?=[A-Z])", "_", enum.name).upper() + "_"


def main():
    proto, out, rest, rpc, *files = sys.argv[1:]
    messages, services = stubs(proto, out)
    channel = grpc.insecure_channel(rpc)
    service = services.AssessmentServiceStub(channel)
    failures = []
    for path in files:
        with open(path, encoding="utf-8") as file:
            request = json.load(file)
        body = json.dumps(request).encode()
        call = urllib.request.Request(
            f"http://{rest}/v1/assessments", body, {"content-type": "application/json"}
        )
        message = messages.AssessmentRequest()
        json_format.ParseDict(words_to_names(message.DESCRIPTOR, request), message)
        try:
            answer = json.load(urllib.request.urlopen(call))
        except urllib.error.HTTPError as error:
            problem = json.load(error)
            try:
                service.Assess(messages.AssessRequest(request=message))
                failures.append(f"{path}: REST refuses with {problem['reason']}, gRPC answers")
            except grpc.RpcError as error:
                if problem["reason"] not in str(error.trailing_metadata()):
                    failures.append(f"{path}: {problem['reason']} over REST, {error.code()} over gRPC")
            continue
        from_grpc = service.Assess(messages.AssessRequest(request=message)).assessment
        from_rest = messages.Assessment()
        json_format.ParseDict(words_to_names(from_rest.DESCRIPTOR, answer), from_rest)
        if from_rest != from_grpc:
            failures.append(f"{path}: the doors differ")
    print(f"grpcio {grpc.__version__}: {len(files)} requests through both doors, {len(failures)} differ")
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures or not files else 0)


if __name__ == "__main__":
    main()
