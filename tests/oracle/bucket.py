"""Looks into S3-compatible object storage with boto3, which is nobody's code here: make, dump, save, put."""

import hashlib
import pathlib
import sys

import boto3
from botocore.config import Config


def client(endpoint):
    return boto3.client(
        "s3",
        endpoint_url=endpoint,
        region_name="us-east-1",
        aws_access_key_id="looker",
        aws_secret_access_key="looker",
        config=Config(retries={"max_attempts": 5}),
    )


def objects(s3, bucket):
    for page in s3.get_paginator("list_objects_v2").paginate(Bucket=bucket):
        for item in page.get("Contents", []):
            yield item["Key"], s3.get_object(Bucket=bucket, Key=item["Key"])


def main():
    what, endpoint, bucket, *rest = sys.argv[1:]
    s3 = client(endpoint)
    if what == "make":
        s3.create_bucket(Bucket=bucket)
    elif what == "put":
        s3.put_object(Bucket=bucket, Key=rest[0], Body=rest[1].encode())
    elif what == "dump":
        for key, item in objects(s3, bucket):
            digest = hashlib.sha256(item["Body"].read()).hexdigest()
            headers = [item.get("ContentType", ""), item.get("CacheControl", ""), item["Metadata"].get("x-robots-tag", "")]
            print(key, digest, " | ".join(headers), sep="\t")
    elif what == "save":
        for key, item in objects(s3, bucket):
            path = pathlib.Path(rest[0], key)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(item["Body"].read())


main()
