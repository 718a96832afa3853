"""Calls the gRPC door from Python and the REST door from Python's own HTTP client: the same request
must give the same answer to both, field by field.

The stubs are made by grpcio-tools (protoc) from proto/ as any foreign client would, so nothing of the
Rust build is involved. Arguments: the folder proto/, a folder for the stubs, the addresses of the
REST and gRPC doors, and request files in JSON.
"""

import importlib
import json
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


def enum_numbers(message, value):
    """Words of our JSON as names of the proto, so that protobuf's own JSON reader takes them."""
    out = {}
    for field in message.DESCRIPTOR.fields if hasattr(message, "DESCRIPTOR") else message.fields:
        if field.name not in value or value[field.name] is None:
            continue
        item = value[field.name]

        def one(x, field=field):
            if field.type == field.TYPE_ENUM:
                for v in field.enum_type.values:
                    if v.name.lower().endswith("_" + x.replace("-", "_")) and word(field.enum_type, v) == x.replace("-", "_"):
                        return v.number
                sys.exit(f"{x} is no word of {field.enum_type.name}")
            if field.type == field.TYPE_MESSAGE:
                return enum_numbers(field.message_type, x)
            return x

        out[field.name] = [one(x) for x in item] if isinstance(item, list) else one(item)
    unknown = set(value) - {f.name for f in (message.DESCRIPTOR.fields if hasattr(message, "DESCRIPTOR") else message.fields)}
    if unknown:
        sys.exit(f"fields that the proto does not have: {unknown}")
    return out


def word(enum, value):
    prefix = "".join("_" + c if c.isupper() else c.upper() for c in enum.name).lstrip("_") + "_"
    return value.name[len(prefix):].lower()


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
        json_format.ParseDict(enum_numbers(message, request), message)
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
        json_format.ParseDict(enum_numbers(from_rest, answer), from_rest)
        if from_rest != from_grpc:
            failures.append(f"{path}: the doors differ")
    print(f"grpcio {grpc.__version__}: {len(files)} requests through both doors, {len(failures)} differ")
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures or not files else 0)


if __name__ == "__main__":
    main()
