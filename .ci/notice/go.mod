module reedlark/ci/notice

go 1.26.8
